"""Only this very server's own pages change or stream anything, whatever Host and Origin a request claims."""

from __future__ import annotations

import asyncio

import pytest
from starlette.responses import PlainTextResponse
from starlette.types import Receive, Scope, Send

from hollowglow.web.door.guard import Guard
from tests.web.asking import HOST, Reply, ask

OURS = f"http://{HOST}"


async def inner(scope: Scope, receive: Receive, send: Send) -> None:
    if scope["type"] == "websocket":
        await send({"type": "websocket.accept"})
    else:
        await PlainTextResponse("in")(scope, receive, send)


def guarded(path: str = "/overview", posts: bool = False, kind: str = "http", **headers: str) -> Reply:
    body = b"x" if posts else None
    return asyncio.run(ask(Guard(inner, [HOST]), path, body=body, headers=headers, kind=kind))


def test_what_this_servers_own_page_asks_for_goes_through() -> None:
    assert guarded().text == "in"
    assert guarded(posts=True).text == "in"
    assert guarded(kind="websocket", origin=OURS).status == 101


@pytest.mark.parametrize("host", ["elsewhere.example", "elsewhere.example:8000", "127.0.0.1", "127.0.0.1:8001", ""])
def test_a_foreign_name_that_leads_here_is_refused(host: str) -> None:
    for posts in (False, True):
        answer = guarded(posts=posts, host=host)
        assert answer.status == 403
        assert "Use the address that it printed." in answer.text


@pytest.mark.parametrize("origin", ["http://elsewhere.example", "null", "http://127.0.0.1:8001", f"https://{HOST}", ""])
def test_a_change_or_a_stream_from_another_page_is_refused(origin: str) -> None:
    answer = guarded(posts=True, origin=origin)
    assert answer.status == 403
    assert "This did not come from a page of this workbench. Load the page again." in answer.text
    assert guarded(kind="websocket", origin=origin).status == 1008


def test_a_refusal_has_the_one_shape_and_escapes_what_it_repeats() -> None:
    assert guarded("/overview.json", host="x").data == {
        "error": {"status": 403, "message": "This server is not called 'x'. Use the address that it printed."}
    }
    page = guarded(host="<script>")
    assert '<div class="say bad" role="alert"><p>' in page.text
    assert "<script>" not in page.text


def test_every_answer_forbids_what_a_page_has_no_use_for() -> None:
    for answer in (guarded(), guarded(host="x")):
        policy = dict(part.strip().split(" ", 1) for part in answer.headers["content-security-policy"].split(";"))
        assert policy["default-src"] == "'none'"
        assert policy["script-src"] == "'self'"
        assert policy["frame-ancestors"] == "'none'"
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["cache-control"] == "no-store"
