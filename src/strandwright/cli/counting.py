"""A bar on standard error that counts work of a known size, where it takes more than a second."""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from strandwright.cli.progress import PATIENCE_S


@contextmanager
def counted(what: str) -> Iterator[Callable[[int, int], None]]:
    """Yield a function to call with how much of how much is done; `what` stands before the bar."""
    if not sys.stderr.isatty():
        yield lambda _done, _total: None
        return
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    bar = Progress(
        TextColumn("{task.description}"),
        BarColumn(),
        MofNCompleteColumn(),
        TimeRemainingColumn(),
        console=Console(stderr=True),
        transient=True,
    )
    task = bar.add_task(what, total=None)
    late = threading.Timer(PATIENCE_S, bar.start)
    late.daemon = True
    late.start()
    try:
        yield lambda done, total: bar.update(task, completed=done, total=total)
    finally:
        late.cancel()
        late.join()
        bar.stop()
