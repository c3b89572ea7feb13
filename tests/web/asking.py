"""Requests to an application without a network, and a display on a workbench without a process beside it."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from starlette.applications import Starlette

from hollowglow.plan import Plan
from hollowglow.web.desk.album import Album
from hollowglow.web.desk.desk import Desk
from hollowglow.web.server.app import make_app
from hollowglow.web.work.worker import Worker

HOST = "127.0.0.1:8000"


@dataclass(frozen=True)
class Reply:
    """What came back."""

    status: int
    headers: Mapping[str, str]
    body: bytes
    messages: Sequence[Any] = ()

    @property
    def text(self) -> str:
        return self.body.decode("utf-8")

    @property
    def data(self) -> Any:
        return json.loads(self.body)


async def ask(
    app: Any,
    path: str,
    form: Mapping[str, str] | None = None,
    *,
    body: bytes | None = None,
    pieces: int = 1,
    headers: Mapping[str, str] | None = None,
    kind: str = "http",
) -> Reply:
    """Return what an application answers: to a GET, to a POST where a form or a body is given, to a websocket."""
    address, _, query = path.partition("?")
    posts = form is not None or body is not None
    sent = {"host": HOST, **({"origin": f"http://{HOST}"} if posts else {}), **(headers or {})}
    if form is not None:
        body = urlencode(form).encode()
        sent["content-type"] = "application/x-www-form-urlencoded"
    body = body or b""
    if posts:
        sent.setdefault("content-length", str(len(body)))
    scope = {
        "type": kind, "asgi": {"version": "3.0"}, "http_version": "1.1", "method": "POST" if posts else "GET",
        "scheme": "http" if kind == "http" else "ws", "path": address, "raw_path": address.encode(), "root_path": "",
        "query_string": query.encode(), "server": ("127.0.0.1", 8000), "client": ("127.0.0.1", 5), "subprotocols": [],
        "headers": [(k.lower().encode(), v.encode()) for k, v in sent.items() if v],
    }  # fmt: skip
    step = -(-len(body) // pieces) or 1
    parts = [body[i : i + step] for i in range(0, len(body), step)] or [b""]
    coming = [{"type": "http.request", "body": p, "more_body": i < len(parts) - 1} for i, p in enumerate(parts)]
    if kind == "websocket":
        coming = [{"type": "websocket.connect"}]
    got: list[Any] = []

    async def receive() -> Any:
        return coming.pop(0) if coming else {"type": f"{kind}.disconnect"}

    async def send(message: Any) -> None:
        got.append(message)

    await app(scope, receive, send)
    if kind == "websocket":
        return Reply(got[0].get("code", 101), {}, got[0].get("reason", "").encode(), got)
    found = {k.decode().lower(): v.decode() for k, v in got[0]["headers"]}
    return Reply(got[0]["status"], found, b"".join(m.get("body", b"") for m in got[1:]))


class Still(Worker):
    """A worker that answers at once with what it was given, or raises it."""

    def __init__(self, answer: Callable[..., Any]) -> None:
        super().__init__()
        self.answer = answer
        self.asked: list[tuple[Any, ...]] = []

    async def run(self, task: str, *args: Any, step: Any = None) -> Any:
        self.asked.append((task, *args))
        return self.answer(task, *args)


async def bench_of(path: Path, plan: Plan) -> tuple[Desk, Starlette]:
    """Return a desk with a display on it, and its application."""
    desk = Desk(path, Still(lambda *_: plan))
    await desk.read()
    await desk.settled(60)
    return desk, make_app(desk, Still(lambda *_: plan), [HOST], Album())
