"""Requests to end a program, made to unwind it, so that lights are dark afterwards."""

from __future__ import annotations

import contextlib
import signal
import threading
from collections.abc import Iterator
from types import FrameType


@contextlib.contextmanager
def ending_signals() -> Iterator[None]:
    """Let a request to end (SIGTERM, SIGHUP, SIGQUIT) unwind the program as Ctrl-C does, unless something heeds it already."""
    names = [n for n in ("SIGTERM", "SIGHUP", "SIGQUIT") if hasattr(signal, n)]
    numbers = [getattr(signal, n) for n in names]
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    changed = [n for n in numbers if signal.getsignal(n) is signal.SIG_DFL]
    asked: list[int] = []

    def unwind(number: int, frame: FrameType | None) -> None:
        # Once: a terminal that closes asks more than once, and what is under way must not be left in the middle.
        if not asked:
            asked.append(number)
            raise SystemExit(128 + number)

    for number in changed:
        signal.signal(number, unwind)
    try:
        yield
    finally:
        for number in changed:
            signal.signal(number, signal.SIG_DFL)
