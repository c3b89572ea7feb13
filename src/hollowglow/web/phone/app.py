"""What a phone can reach: a way in, pages to read, and a place for answers; nothing that edits, and nothing else."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from starlette.applications import Starlette
from starlette.datastructures import MutableHeaders
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import HTTPConnection, Request
from starlette.responses import FileResponse, JSONResponse, RedirectResponse, Response
from starlette.routing import BaseRoute, Route
from starlette.websockets import WebSocketDisconnect

from hollowglow.messages.errors import HollowglowError
from hollowglow.web.desk.values import back_to
from hollowglow.web.door.failing import failed, refuse
from hollowglow.web.door.guard import Guard
from hollowglow.web.door.limits import BodyLimit
from hollowglow.web.page.frame import render
from hollowglow.web.phone import views
from hollowglow.web.phone.answers import AnswerError, Answers, Take
from hollowglow.web.phone.gate import SESSION_S, Gate, GateError
from hollowglow.web.resources import static_file
from hollowglow.web.words import of_error

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from starlette.types import ASGIApp, Message, Receive, Scope, Send

    from hollowglow.web.desk.desk import Desk
    from hollowglow.web.page.pictures import Pictures

COOKIE = "phone"
MOST_BYTES = 64 * 2**10
FILES = (
    "answers.js",
    "bench.css",
    "lamp.svg",
    "night.js",
    "parts.css",
    "phone.css",
    "phone.js",
    "phone_test.js",
    "test.css",
    "test.js",
)
# What anyone in the network may have: the way in and what it looks like.
_OPEN = frozenset({"/", "/enter", *(f"/static/{name}" for name in FILES)})
_ASK = "Type the code on the laptop's screen first."


def make_phone_app(
    desk: Desk,
    pictures: Pictures,
    gate: Gate,
    hosts: Iterable[str],
    take: Take | None = None,
    routes: Sequence[BaseRoute] = (),
    links: Sequence[tuple[str, str]] = (),
) -> Starlette:
    """Return what is served to phones as an ASGI application.

    Args:
        desk: the display; it is read only.
        pictures: of its plan.
        gate: who may come in.
        hosts: what the Host of a request may be, with the port.
        take: is given what phones answer (see `Answers`); None where nothing is asked.
        routes: more addresses, behind the same gate; websockets among them.
        links: address and title of each page among them, first in the list of pages.
    """
    asked = [Route("/answers", answers, methods=["POST"])] if take is not None else []
    app = Starlette(
        routes=[
            Route("/", way_in),
            Route("/enter", enter, methods=["POST"]),
            *asked,
            *routes,
            *(Route(f"/{name}.json", as_json) for name in views.PAGES),
            *(Route(f"/{name}", as_page) for name in views.PAGES),
            Route("/picture/{name:path}.svg", picture),
            *(Route(f"/static/{name}", FileResponseOf(name)) for name in FILES),
        ],
        middleware=[
            Middleware(Guard, hosts=hosts),
            Middleware(Inside, gate=gate),
            Middleware(BodyLimit, most_bytes=MOST_BYTES),
        ],
        exception_handlers={HTTPException: _no_page, HollowglowError: _cannot, Exception: _own_fault},
    )
    app.state.desk, app.state.pictures, app.state.gate = desk, pictures, gate
    app.state.answers = Answers(take) if take is not None else None
    app.state.links = (*links, *((f"/{name}", page.title) for name, page in views.PAGES.items()))
    return app


class Inside:
    """Let in who has shown the code; anyone else finds the way in and nothing more."""

    def __init__(self, app: ASGIApp, gate: Gate) -> None:
        self.app = app
        self.gate = gate

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass on, or ask for the code."""
        if scope["type"] not in ("http", "websocket"):
            await self.app(scope, receive, send)
            return
        secret = HTTPConnection(scope).cookies.get(COOKIE, "")
        known = self.gate.knows(secret)
        path = scope["path"]
        if known and scope["type"] == "websocket":
            await self.app(scope, receive, self._while_in(secret, send))
        elif known or (scope["type"] == "http" and path in _OPEN):
            await self.app(scope, receive, _kept_on_the_phone(send) if known else send)
        elif scope["type"] == "http" and scope["method"] in ("GET", "HEAD") and not path.endswith((".json", ".svg")):
            await RedirectResponse("/", 303)(scope, receive, send)
        else:
            await refuse(scope, receive, send, _ASK, 401)

    def _while_in(self, secret: str, send: Send) -> Send:
        """Send until the phone is shut out, then hang up."""

        async def sent(message: Message) -> None:
            if message["type"] == "websocket.send" and not self.gate.knows(secret):
                await send({"type": "websocket.close", "code": 1008, "reason": _ASK})
                raise WebSocketDisconnect(1008, _ASK)
            await send(message)

        return sent


def _kept_on_the_phone(send: Send) -> Send:
    """Let the phone keep a page, so that it comes up again where the network has gone."""

    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            MutableHeaders(scope=message).setdefault("cache-control", "private, no-cache")
        await send(message)

    return sent


class FileResponseOf:
    """One file of our own, by name."""

    def __init__(self, name: str) -> None:
        self.path = static_file(name)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer with the file."""
        await FileResponse(self.path)(scope, receive, send)


def show(request: Request, template: str, status: int = 200, **more: Any) -> Response:
    """Return a page for the phone; `more` is what its template needs beyond the display and the list of pages."""
    desk: Desk = request.app.state.desk
    html = render(template, desk=desk, links=request.app.state.links, path=request.url.path, units="metric", **more)
    return Response(html, status, media_type="text/html")


async def way_in(request: Request) -> Response:
    """Ask for the code, or lead on to the first page where it is known."""
    gate: Gate = request.app.state.gate
    if gate.knows(request.cookies.get(COOKIE, "")):
        return RedirectResponse(request.app.state.links[0][0], 303)
    return show(request, "phone/enter.html", wrong="")


async def enter(request: Request) -> Response:
    """Let a phone in that sends the code."""
    gate: Gate = request.app.state.gate
    form = await request.form()
    try:
        secret = gate.enter(str(form.get("code", ""))[:40])
    except GateError as error:
        return show(request, "phone/enter.html", 403, wrong=of_error(error))
    answer = RedirectResponse(request.app.state.links[0][0], 303)
    answer.set_cookie(COOKIE, secret, max_age=round(SESSION_S), httponly=True, samesite="strict")
    return answer


async def answers(request: Request) -> Response:
    """Take an answer, as JSON from our script or from a plain form, and tell what became of it."""
    taker: Answers = request.app.state.answers
    if request.headers.get("content-type", "").split(";")[0] == "application/json":
        try:
            given = await request.json()
        except ValueError:
            given = None
        try:
            return JSONResponse({"taken": True, "answer": dict(await taker.post(given))})
        except AnswerError as error:
            return failed("answers.json", of_error(error), 422)
    form = await request.form()
    texts = {key: value for key, value in form.items() if isinstance(value, str)}
    back = texts.pop("back", request.app.state.links[0][0])
    await taker.post(texts)
    return RedirectResponse(back_to(back), 303)


async def as_page(request: Request) -> Response:
    """Answer with a page to read."""
    name = request.url.path.strip("/")
    desk: Desk = request.app.state.desk
    data = views.PAGES[name].view(desk.plan, request.query_params) if desk.plan is not None else None
    return show(request, f"phone/{name}.html", data=data)


async def as_json(request: Request) -> Response:
    """Answer with the data of a page to read."""
    name = request.url.path.strip("/").removesuffix(".json")
    desk: Desk = request.app.state.desk
    data = views.PAGES[name].view(desk.plan, request.query_params) if desk.plan is not None else {}
    return JSONResponse({"display": desk.name, "current": desk.current, "room": data})


async def picture(request: Request) -> Response:
    """Answer with a picture of the plan."""
    desk: Desk = request.app.state.desk
    drawn: Pictures = request.app.state.pictures
    text = await drawn.svg(desk.plan, request.path_params["name"]) if desk.plan is not None else None
    if text is None:
        raise HTTPException(404, "This display has no picture of that name.")
    return Response(text, media_type="image/svg+xml")


async def _no_page(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    words = "There is no page of this name for a phone." if error.detail == "Not Found" else error.detail
    return failed(request.url.path, words, error.status_code)


async def _cannot(request: Request, error: Exception) -> Response:
    return failed(request.url.path, of_error(error), 422 if isinstance(error, AnswerError) else 409)


async def _own_fault(request: Request, error: Exception) -> Response:
    words = f"This did not work, and it is Hollowglow's own fault: {type(error).__name__}: {error}"
    return failed(request.url.path, words, 500)
