"""From a thread beside the server back to the server's own: results of what it was asked, and news for every page."""

from __future__ import annotations

import asyncio
from contextlib import suppress
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable

    from hollowglow.web.desk.desk import Desk


class Bridge:
    """Belongs to the server's loop, which it finds where it is made; its methods are called from any thread."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._loop = asyncio.get_running_loop()
        self._telling: set[asyncio.Task[None]] = set()

    def settle(self, done: asyncio.Future[Any], error: BaseException | None, made: Any = None) -> None:
        """Give a future its result or its error, unless it has one."""

        def settle() -> None:
            if done.done():
                return
            if error is not None:
                done.set_exception(error)
            else:
                done.set_result(made)

        self._soon(settle)

    def tell(self) -> None:
        """Let every page know that something has changed."""

        def tell() -> None:
            telling = asyncio.ensure_future(self._desk.tell())
            self._telling.add(telling)
            telling.add_done_callback(self._telling.discard)

        self._soon(tell)

    def _soon(self, act: Callable[[], None]) -> None:
        with suppress(RuntimeError):  # the server has ended
            self._loop.call_soon_threadsafe(act)
