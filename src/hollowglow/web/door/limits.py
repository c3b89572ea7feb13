"""How much a request may bring along, said in words where it is more."""

from __future__ import annotations

from types import MappingProxyType
from typing import TYPE_CHECKING

from starlette.datastructures import Headers
from starlette.exceptions import HTTPException

if TYPE_CHECKING:
    from collections.abc import Mapping

    from starlette.types import ASGIApp, Message, Receive, Scope, Send

MOST_BYTES = 64 * 2**20
# What is too much is read to its end up to here: a browser that is cut off while it sends shows no answer.
_PATIENCE = 16


class BodyLimit:
    """Let through bodies up to a size, and up to another one at the addresses that say so.

    The refusal is raised where the body is read, so that the application answers it like any other error.
    """

    def __init__(
        self, app: ASGIApp, most_bytes: int = MOST_BYTES, elsewhere: Mapping[str, int] = MappingProxyType({})
    ) -> None:
        self.app = app
        self.most_bytes = most_bytes
        self.elsewhere = elsewhere

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Count what comes in, and pass it on."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        stated = Headers(scope=scope).get("content-length", "")
        most = self.elsewhere.get(scope["path"], self.most_bytes)
        too_much = stated.isdecimal() and int(stated) > most
        came = 0

        async def counted() -> Message:
            nonlocal came
            message = await receive()
            came += len(message.get("body", b""))
            if message["type"] == "http.request" and (too_much or came > most):
                while message.get("more_body", False) and came < _PATIENCE * most:
                    message = await receive()
                    came += len(message.get("body", b""))
                raise HTTPException(413, f"This is more than {size_words(most)}, so it was not taken. Send less.")
            return message

        await self.app(scope, counted, send)


def size_words(size: int) -> str:
    """Return a size in words.

    >>> size_words(64 * 2**20), size_words(64 * 2**10)
    ('64 MiB', '64 KiB')
    """
    return f"{size // 2**20} MiB" if size >= 2**20 else f"{size // 2**10} KiB"
