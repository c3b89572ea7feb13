"""A room's tests know the codes of that room: nowhere is the whole list of findings written down a second time."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

from hollowglow.analysis.findings import CODES

TESTS = Path(__file__).resolve().parents[1]
# What is true of all findings alike is tried on all of them, in the room of messages.
OF_ALL = "messages/"
MOST = 12


def named(tree: ast.AST) -> set[str]:
    """Return the codes that one function or one table of a test module names."""
    return {node.value for node in ast.walk(tree) if isinstance(node, ast.Constant) and node.value in CODES}


def lists() -> Iterator[tuple[str, set[str]]]:
    for path in sorted(TESTS.rglob("*.py")):
        name = path.relative_to(TESTS).as_posix()
        if not name.startswith(OF_ALL):
            for node in ast.parse(path.read_text(encoding="utf-8")).body:
                yield name, named(node)


def stages(codes: set[str]) -> set[str]:
    return {CODES[code].stage for code in codes}


def test_no_test_lists_the_codes_of_other_rooms() -> None:
    assert [name for name, codes in lists() if len(codes) > MOST and len(stages(codes)) > 1] == []


def test_a_list_across_rooms_is_found() -> None:
    every = named(ast.parse(repr(sorted(CODES))))
    assert every == set(CODES)
    assert len(every) > MOST
    assert len(stages(every)) > 1
