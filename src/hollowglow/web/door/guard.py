"""Who may ask for what: the Host that a request names, the page that it comes from, and what a page may load."""

from __future__ import annotations

from typing import TYPE_CHECKING

from starlette.datastructures import Headers, MutableHeaders

from hollowglow.web.door.failing import refuse

if TYPE_CHECKING:
    from collections.abc import Iterable

    from starlette.types import ASGIApp, Message, Receive, Scope, Send

# Pages load nothing from elsewhere, run no script that stands in them, and cannot be framed.
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; img-src 'self' data: blob:; "
    "connect-src 'self'; font-src 'none'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'; manifest-src 'self'"
)


class Guard:
    """Let through what was asked of this very server, and changes only from its own pages.

    A page of some other site can make a browser send requests here. Its Host is refused where a foreign name leads
    here, and its Origin wherever something would be changed or streamed.
    """

    def __init__(self, app: ASGIApp, hosts: Iterable[str]) -> None:
        self.app = app
        self.hosts = frozenset(hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer 403 or pass on."""
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        changes = scope["type"] == "websocket" or scope["method"] not in ("GET", "HEAD")
        host = headers.get("host", "")
        if host not in self.hosts:
            words = f"This server is not called {host[:80]!r}. Use the address that it printed."
            await refuse(scope, receive, _with_headers(send), words)
        elif changes and headers.get("origin") != f"http://{host}":
            words = "This did not come from a page of this workbench. Load the page again."
            await refuse(scope, receive, _with_headers(send), words)
        else:
            await self.app(scope, receive, _with_headers(send))


def _with_headers(send: Send) -> Send:
    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            headers["content-security-policy"] = POLICY
            headers["x-content-type-options"] = "nosniff"
            headers["referrer-policy"] = "same-origin"
            headers.setdefault("cache-control", "no-store")
        await send(message)

    return sent
