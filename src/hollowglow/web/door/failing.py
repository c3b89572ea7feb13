"""What went wrong, in the one shape that it has: words on a small page, or the same words as JSON."""

from __future__ import annotations

import html
from typing import TYPE_CHECKING

from starlette.responses import HTMLResponse, JSONResponse, Response

if TYPE_CHECKING:
    from starlette.types import Receive, Scope, Send

# It stands by itself: it is shown where the page of a room cannot be made, or must not be.
_PAGE = """<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>This did not work</title><link rel="stylesheet" href="/static/bench.css"></head>
<body><div id="state"><div class="say bad" role="alert"><p>{words}</p></div></div>
<main id="work"><h1>This did not work</h1><p><a href="/">To the first page</a></p></main></body></html>
"""


def failed(path: str, words: str, status: int) -> Response:
    """Return the answer that something went wrong.

    Args:
        path: of the request; what ends with `.json` is answered with JSON.
        words: what went wrong.
        status: of the answer.
    """
    if path.endswith(".json"):
        return JSONResponse({"error": {"status": status, "message": words}}, status)
    return HTMLResponse(_PAGE.format(words=html.escape(words)), status)


async def refuse(scope: Scope, receive: Receive, send: Send, words: str, status: int = 403) -> None:
    """Refuse a request in words, or close a websocket before it opens."""
    if scope["type"] == "websocket":
        await send({"type": "websocket.close", "code": 1008, "reason": words[:120]})
        return
    await failed(scope["path"], words, status)(scope, receive, send)
