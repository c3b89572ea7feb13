"""Ids are made and read in one module: nowhere else does text put one together or take one apart.

Looked for in the syntax tree: f-strings and other texts with a piece of an id in them beside a value, patterns of
regular expressions that have one, and every cut of a text at its slashes.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import hollowglow

SOURCE = Path(hollowglow.__file__).parent
HOME = SOURCE / "assembly" / "ids.py"
WORDS = "prop|node|emitter|span|feed|fuse|lead|joint|wire|in|out|extensions"
# {string}/prop{number}, {run}/fuse; a slash and the word, with a value before or behind.
MADE = re.compile(rf"\0/(?:{WORDS})(?:\d*|\0)(?![a-z])|/(?:prop|node|emitter|span|feed|joint|wire)\0")
NUMBERED = re.compile(r"\b(?:prop|node|emitter|span|feed|joint|wire)\0")
READ = re.compile(r"/(?:\(\?:)?(?:prop|node|emitter|span|feed|joint|wire)")
CUTS = {"split", "rsplit", "partition", "rpartition", "removeprefix", "removesuffix"}
# What is cut at slashes there is no id: the parts of an address of a page, of the name of a picture or of an errand,
# of a unit such as ohm/km.
NO_IDS = {"web/forms/answering.py", "web/forms/errand_routes.py", "web/page/figures.py", "quantity/units.py"}


def text_of(node: ast.AST) -> str | None:
    """A text with a zero byte for each value put into it."""
    if isinstance(node, ast.JoinedStr):
        return "".join(str(v.value) if isinstance(v, ast.Constant) else "\0" for v in node.values)
    if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add):
        left, right = text_of(node.left), text_of(node.right)
        return None if left is None and right is None else (left or "\0") + (right or "\0")
    return node.value if isinstance(node, ast.Constant) and isinstance(node.value, str) else None


def width_two(node: ast.AST) -> bool:
    """Whether an f-string writes a number with two digits behind one of the words."""
    if not isinstance(node, ast.JoinedStr):
        return False
    two = any(
        isinstance(v, ast.FormattedValue) and v.format_spec is not None and "02d" in ast.unparse(v.format_spec)
        for v in node.values
    )
    return two and NUMBERED.search(text_of(node) or "") is not None


def uses(source: str, cuts_too: bool) -> Iterator[str]:
    """Each place of a module that makes or reads an id."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.JoinedStr | ast.BinOp) and (MADE.search(text_of(node) or "") or width_two(node)):
            yield ast.unparse(node)
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.args:
            first = text_of(node.args[0]) or ""
            cut = node.func.attr in CUTS and first.startswith("/") and (cuts_too or len(first) > 1)
            if cut or (ast.unparse(node.func).startswith("re.") and READ.search(first)):
                yield ast.unparse(node)


def test_no_id_is_made_or_read_outside_the_ids_module() -> None:
    found = [
        f"{name}: {use}"
        for path in sorted(SOURCE.rglob("*.py"))
        if path != HOME
        for name in [path.relative_to(SOURCE).as_posix()]
        for use in uses(path.read_text(encoding="utf-8"), name not in NO_IDS)
    ]
    assert found == []


def test_what_is_cut_at_slashes_without_being_an_id_is_still_there() -> None:
    assert {name for name in NO_IDS if list(uses((SOURCE / name).read_text(encoding="utf-8"), True))} == NO_IDS


@pytest.mark.parametrize(
    "line",
    [
        'f"{string}/prop{number:02d}"',
        'f"{name}/span{n:02d} and its joints"',
        'f"{run}/fuse"',
        'f"{name}/lead/joint"',
        'name + "/fuse"',
        'f"feed{n:02d}"',
        'where.split("/")[0]',
        'node.partition("/")',
        'prop.rpartition("/prop")',
        're.compile("(.+)/(?:prop)?(.+)")',
    ],
)
def test_each_way_to_make_or_read_one_is_found(line: str) -> None:
    assert list(uses(line, True))


@pytest.mark.parametrize("line", ['f"{a} m/{b}"', 'f"feed {n:02d}"', 'f"/{room}/import"', 'text.split(",")'])
def test_other_texts_are_none(line: str) -> None:
    assert not list(uses(line, True))
