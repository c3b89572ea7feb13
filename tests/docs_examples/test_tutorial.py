"""The tutorial, typed again: its files written, its commands run, and what they print compared with the page."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

DOCS = Path(__file__).resolve().parents[2] / "docs"
PAGE = DOCS / "tutorial.md"
FILE = "lanterns.yaml"
LEFT_OUT = "..."
MOST_PROSE = 200
PICTURES = {"tutorial-before.svg": "before/profile-path.svg", "tutorial-after.svg": "after/profile-path.svg"}

_BLOCK = re.compile(r"^```(\w+)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


@dataclass(frozen=True)
class Block:
    """A fenced block: its language, its text, and the line of the page where it starts."""

    language: str
    text: str
    line: int


def blocks(page: str) -> list[Block]:
    return [Block(m[1], m[2], page.count("\n", 0, m.start()) + 1) for m in _BLOCK.finditer(page)]


def sections(text: str) -> dict[str, str]:
    """The top-level sections of a display file by key, with the lines before the first one under the empty key."""
    found: dict[str, str] = {}
    key = ""
    for line in text.splitlines(keepends=True):
        if line[:1].isalpha():
            key = line.partition(":")[0]
        found[key] = found.get(key, "") + line
    return found


def replaced(old: str, block: str) -> str:
    """The file after a reader followed the page: a block that names the file is all of it, others replace sections."""
    if block.startswith(f"# {FILE}\n"):
        return block
    return "".join((sections(old) | sections(block)).values())


def commands(console: str) -> list[tuple[str, list[str]]]:
    """Each command of a console block with the lines shown after it."""
    found: list[tuple[str, list[str]]] = []
    for line in console.splitlines():
        if line.startswith("$ "):
            found.append((line[2:], []))
        else:
            found[-1][1].append(line)
    return found


def run(command: str, folder: Path) -> str:
    """What a command prints; the tool runs as this Python's module, in a folder of its own."""
    program, *arguments = shlex.split(command)
    if program == "cat":
        files = [folder / name for name in arguments]
        return "".join(f.read_text(encoding="utf-8") if f.exists() else f"there is no {f.name}\n" for f in files)
    assert program == "hollowglow", f"the page shows a command that this test does not know: {command}"
    done = subprocess.run(
        [sys.executable, "-m", "hollowglow", *arguments],
        cwd=folder,
        env=os.environ | {"PYTHONUTF8": "1", "NO_COLOR": "1"},
        capture_output=True,
        encoding="utf-8",
        timeout=600,
        check=False,
    )
    return done.stdout + done.stderr


def first_missing(shown: list[str], printed: list[str]) -> str | None:
    """The first line shown that was not printed where the page has it, None where the page is right.

    A line of dots stands for any number of lines; lines without one between them must follow each other.
    """
    at, free = 0, False
    for line in shown:
        if line == LEFT_OUT:
            free = True
            continue
        rest = printed[at:] if free else printed[at : at + 1]
        if line not in rest:
            return line
        at += rest.index(line) + 1
        free = False
    return None if free or at == len(printed) else f"(the end; printed next: {printed[at]!r})"


def follow(page: str, folder: Path) -> list[str]:
    """Do what the page says in `folder`; return each place where it says something else than happens."""
    wrong = []
    for block in blocks(page):
        file = folder / FILE
        if block.language == "yaml":
            old = file.read_text(encoding="utf-8") if file.exists() else ""
            file.write_text(replaced(old, block.text), encoding="utf-8")
        elif block.language == "console":
            for command, shown in commands(block.text):
                text = run(command, folder)
                printed = [line.rstrip() for line in text.splitlines()]
                missing = first_missing(shown, printed)
                if missing is not None:
                    wrong.append(f"tutorial.md, block at line {block.line}, $ {command}: {missing}\n{text}")
    return wrong


def test_the_tutorial_shows_what_the_tool_prints_and_draws(tmp_path: Path) -> None:
    page = PAGE.read_text(encoding="utf-8")
    wrong = follow(page, tmp_path)
    assert not wrong, "\n".join(wrong)
    for shown, made in PICTURES.items():
        assert f"(pictures/{shown})" in page
        drawn = (tmp_path / made).read_text(encoding="utf-8")
        kept = (DOCS / "pictures" / shown).read_text(encoding="utf-8")
        assert kept == drawn, f"docs/pictures/{shown} is old: python -m tests.docs_examples.test_tutorial draws it anew"


def test_the_tutorial_is_short_enough_to_be_read() -> None:
    prose = _BLOCK.sub("", PAGE.read_text(encoding="utf-8"))
    assert sum(1 for line in prose.splitlines() if line.strip()) < MOST_PROSE


def test_the_comparison_notices_a_wrong_a_missing_and_a_surplus_line() -> None:
    printed = ["one", "two", "three", "four"]
    assert first_missing(["one", "...", "three", "four"], printed) is None
    assert first_missing(["...", "two", "..."], printed) is None
    assert first_missing(["one", "three", "four"], printed) == "three"
    assert first_missing(["...", "four", "..."], printed) is None
    assert first_missing(["...", "five", "..."], printed) == "five"
    assert first_missing(["...", "three", "...", "two", "..."], printed) == "two"
    assert first_missing(["one", "two", "three"], printed) == "(the end; printed next: 'four')"


def test_a_block_replaces_the_sections_that_it_names() -> None:
    whole = f"# {FILE}\ndisplay: a\n\nkinds:\n  b: c\n"
    assert replaced("old: 1\n", whole) == whole
    assert replaced(whole, "kinds:\n  d: e\nlevels:\n  d: 10 %\n") == (
        f"# {FILE}\ndisplay: a\n\nkinds:\n  d: e\nlevels:\n  d: 10 %\n"
    )


if __name__ == "__main__":
    import tempfile

    with tempfile.TemporaryDirectory() as place:
        for complaint in follow(PAGE.read_text(encoding="utf-8"), Path(place)):
            print(complaint)
        for name, source in PICTURES.items():
            (DOCS / "pictures" / name).write_text((Path(place) / source).read_text(encoding="utf-8"), encoding="utf-8")
            print(f"drew docs/pictures/{name}")
