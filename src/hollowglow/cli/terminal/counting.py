"""A bar on standard error that counts work of a known size, where it takes more than a second."""

from __future__ import annotations

import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager

PATIENCE_S = 1.0


@contextmanager
def counted(what: str) -> Iterator[Callable[..., None]]:
    """Yield a function to call with how much of how much is done, and in words what comes next if `what` does not do."""
    if not sys.stderr.isatty():
        yield lambda *_: None
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
        yield lambda done, total, following=what: bar.update(task, completed=done, total=total, description=following)
    finally:
        late.cancel()
        late.join()
        bar.stop()
