"""A name means one thing: no two classes of the package share one, and whatever is defined is named somewhere else."""

import ast
import re
import subprocess
from collections import Counter, defaultdict
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SOURCE = ROOT / "src" / "hollowglow"
# What click, rich and uvicorn call by its name, and no line of ours does.
CALLED_FROM_OUTSIDE = {"list_commands", "resolve_command", "make_context", "on_broken_pipe", "capture_signals"}


def modules() -> Iterator[tuple[str, ast.Module]]:
    for path in sorted(SOURCE.rglob("*.py")):
        yield path.relative_to(SOURCE).as_posix(), ast.parse(path.read_text(encoding="utf-8"))


def test_no_two_classes_share_a_name() -> None:
    homes: dict[str, list[str]] = defaultdict(list)
    for name, tree in modules():
        for node in ast.walk(tree):
            if isinstance(node, ast.ClassDef):
                homes[node.name].append(name)
    assert len(homes) > 300
    assert {name: where for name, where in homes.items() if len(where) > 1} == {}


def test_whatever_is_defined_is_named_somewhere_else() -> None:
    tracked = subprocess.run(
        ["git", "ls-files", "src", "tests", "tools", "benchmarks"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout
    words: Counter[str] = Counter()
    for file in tracked.splitlines():
        if file.endswith((".py", ".html", ".typ")):
            words.update(re.findall(r"\w+", (ROOT / file).read_text(encoding="utf-8")))
    unused = [
        f"{name}: {node.name}"
        for name, tree in modules()
        for node in ast.walk(tree)
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef))
        and not node.name.startswith("__")
        and node.name not in CALLED_FROM_OUTSIDE
        and not (
            isinstance(node, ast.FunctionDef)
            and any(re.search("command|validator", ast.unparse(d)) for d in node.decorator_list)
        )
        and words[node.name] == 1
    ]
    assert unused == []
