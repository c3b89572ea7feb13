"""A drip loop is added in one place: everything else reads the columns of what will exist."""

from __future__ import annotations

import ast
from pathlib import Path

import hollowglow

SOURCE = Path(hollowglow.__file__).parent
HOME = {"assembly/lengths.py"}
# It asks only whether the display states a loop at all, and hands that to the checks of seals.
ASKS_WHETHER = {"analysis/prop/making/judge.py"}


def test_nothing_but_the_lengths_module_reads_the_drip_loop() -> None:
    readers = {
        path.relative_to(SOURCE).as_posix()
        for path in SOURCE.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Attribute) and node.attr == "drip_loop"
    }
    assert readers == HOME | ASKS_WHETHER
