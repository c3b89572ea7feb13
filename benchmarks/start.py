"""How long a person waits for the small things: help, and the plan of the demo."""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from benchmarks.child import hollowglow, run
from benchmarks.rows import Row, at_most, plain

TITLE = "Start: wall time of whole commands, best of 5"
HELP_S = 0.3
DEMO_S = 1.5
TIMES = 5


def best(command: list[str], shows: str = "") -> float:
    """Return the shortest of five wall times of a command that shows a text, s."""
    return min(run(command, shows).wall_s for _ in range(TIMES))


def rows() -> Iterator[Row]:
    """Yield the rows of this benchmark."""
    bare = best([sys.executable, "-c", "pass"])
    imported = best([sys.executable, "-c", "import hollowglow.cli"])
    yield plain("Python alone", bare, "s")
    yield plain("import hollowglow.cli, beyond Python", imported - bare, "s")
    yield at_most("hollowglow --help", best(hollowglow("--help"), "Usage:"), HELP_S, "s")
    with tempfile.TemporaryDirectory() as folder:
        run(hollowglow("demo", folder), "landing.yaml")
        for name in ("landing.yaml", "landing-mended.yaml"):
            plan = hollowglow("plan", str(Path(folder, name)))
            yield at_most(f"hollowglow plan demo/{name}", best(plan, "Ferry landing"), DEMO_S, "s")
            as_json = best([*plan, "--json", "-"], '"nodes"')
            yield at_most(f"hollowglow plan demo/{name} --json -", as_json, DEMO_S, "s")
