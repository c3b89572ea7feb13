"""A bar on standard error for work that takes more than a second."""

from __future__ import annotations

import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager

from strandwright.plan import Progress

STEPS = ("load", "expand", "power", "signal", "cost", "faults", "mains", "light", "making", "findings", "write")
PATIENCE_S = 1.0


@contextmanager
def steps() -> Iterator[Progress]:
    """Yield a function to call with the name of each step; a bar appears only where the work outlasts a second."""
    if not sys.stderr.isatty():
        yield lambda _step: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, TextColumn, TimeElapsedColumn
    from rich.progress import Progress as Bar

    bar = Bar(
        TextColumn("{task.description}"),
        BarColumn(),
        TimeElapsedColumn(),
        console=Console(stderr=True),
        transient=True,
    )
    task = bar.add_task("load", total=len(STEPS))

    def step(name: str) -> None:
        bar.update(task, description=name, completed=STEPS.index(name) if name in STEPS else None)

    late = threading.Timer(PATIENCE_S, bar.start)
    late.daemon = True
    late.start()
    try:
        yield step
    finally:
        late.cancel()
        late.join()
        bar.stop()
