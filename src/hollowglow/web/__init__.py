"""The door to the workbench: one display file on a local web page, with the same jobs and pictures as the command line."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

__all__ = ["open_workbench"]


def open_workbench(
    path: Path,
    port: int = 0,
    browser: bool = True,
    say: Callable[[str], None] = print,
    phone: bool = False,
    phone_at: Sequence[str] = (),
    phone_port: int = 0,
) -> None:
    """Serve one display file as a local web page until Ctrl-C.

    Args:
        path: of the display file.
        port: on loopback; 0 takes a free one.
        browser: whether to open the person's browser.
        say: called with what is to be printed.
        phone: whether phones in the local network may read; without it nothing outside this machine can connect.
        phone_at: addresses of this machine to listen for phones at; all that it has on local networks if none.
        phone_port: for phones; 0 takes a free one.

    Raises:
        Refusal: when a port or an address cannot be used.
    """
    from hollowglow.web.work.worker import Worker

    # The process that computes loads what it needs while this one does the same.
    worker = Worker()
    worker.start()
    try:
        from hollowglow.web.phone.line import open_line
        from hollowglow.web.server.serve import serve

        serve(path, port, browser, say, worker, open_line(phone_at, phone_port) if phone else None)
    finally:
        worker.stop()
