"""Addresses and what answers them: rooms as pages and as JSON, changes, pictures, news."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.responses import JSONResponse, RedirectResponse, Response, StreamingResponse
from starlette.routing import Mount, Route

from hollowglow.messages.errors import HollowglowError
from hollowglow.web.desk.errands import Errands
from hollowglow.web.desk.values import back_to
from hollowglow.web.door.failing import failed
from hollowglow.web.door.guard import Guard
from hollowglow.web.door.limits import BodyLimit
from hollowglow.web.forms.answering import WAIT_S, after_form, desk_of, refused
from hollowglow.web.forms.editing import add, begin, preview, put, write_back
from hollowglow.web.forms.errand_routes import addresses, errand, errand_stop, errand_use, picture, png, taken
from hollowglow.web.page import tour
from hollowglow.web.page.frame import Said, asked, page
from hollowglow.web.page.pictures import Pictures
from hollowglow.web.page.rooms import ROOMS, Room, room_at
from hollowglow.web.phone.shown import phone_routes
from hollowglow.web.resources import RoomFiles
from hollowglow.web.rooms.match import routes as photographing
from hollowglow.web.rooms.place.routes import routes as place_routes
from hollowglow.web.rooms.test.lighting import Lighting
from hollowglow.web.rooms.test.listening import Listening
from hollowglow.web.rooms.test.routes import test_routes
from hollowglow.web.rooms.test.stream import GlowStream
from hollowglow.web.words import of_error

if TYPE_CHECKING:
    from collections.abc import AsyncIterator, Awaitable, Callable, Iterable, Mapping

    from starlette.requests import Request

    from hollowglow.web.desk.album import Album
    from hollowglow.web.desk.desk import Desk
    from hollowglow.web.phone.line import PhoneLine
    from hollowglow.web.work.worker import Worker

# The very first page has no older numbers to show; it comes at once and its numbers when they are there.
FIRST_WAIT_S = 0.1
NEWS_S = 20.0


def make_app(desk: Desk, jobs: Worker, hosts: Iterable[str], album: Album, line: PhoneLine | None = None) -> Starlette:
    """Return the workbench as an ASGI application.

    Args:
        desk: the display on it.
        jobs: the process for long work other than the plan itself.
        hosts: what the Host of a request may be, with the port.
        album: the photographs that lie beside it.
        line: to the phones, where they were asked for.
    """
    app = Starlette(
        routes=[
            Route("/", lambda _request: RedirectResponse("/overview")),
            Route("/changes", changes),
            Route("/put", put, methods=["POST"]),
            Route("/preview", preview, methods=["POST"]),
            Route("/begin", begin, methods=["POST"]),
            Route("/add", add, methods=["POST"]),
            Route("/undo", _button(lambda desk: desk.undo(), "Taken back"), methods=["POST"]),
            Route("/redo", _button(lambda desk: desk.redo(), "Done again"), methods=["POST"]),
            Route("/write-back", _button(write_back, ""), methods=["POST"]),
            Route("/read-again", _button(_read_again, ""), methods=["POST"]),
            Route("/stop", _button(_stop, ""), methods=["POST"]),
            Route("/again", _button(_again, ""), methods=["POST"]),
            Route("/errand", errand, methods=["POST"]),
            Route("/errand/stop", errand_stop, methods=["POST"]),
            Route("/errand/use", errand_use, methods=["POST"]),
            Route("/units", units, methods=["POST"]),
            Route("/tour", close_tour, methods=["POST"]),
            Route("/picture/{name:path}.svg", picture),
            *test_routes(),
            *phone_routes(),
            Route("/picture/errand/{task}/{name}.png", png),
            *photographing.ROUTES,
            Route("/taken/{task}/{name}", taken),
            *place_routes(after_form),
            Mount("/static", RoomFiles()),
            Route("/address.csv", addresses),
            Route("/{room}.json", room_json),
            Route("/{room}", room_page),
        ],
        middleware=[
            Middleware(Guard, hosts=hosts),
            Middleware(BodyLimit, elsewhere={"/photographs": photographing.MOST_AT_ONCE}),
        ],
        exception_handlers={HTTPException: _no_page, HollowglowError: _cannot, Exception: _own_fault},
    )
    app.state.desk, app.state.errands = desk, Errands(desk, jobs)
    app.state.pictures = Pictures(desk.path.resolve().parent)
    lighting, listening = Lighting(desk), Listening(desk)
    app.state.lighting, app.state.listening, app.state.glow = lighting, listening, GlowStream(desk, lighting, listening)
    app.state.line, app.state.album = line, album

    def live() -> Mapping[str, Any]:
        from hollowglow.web.rooms.test.view import shown  # with the numbers that it shows, when they are asked for

        return shown(lighting, listening)

    app.state.live = live
    return app


async def room_page(request: Request) -> Response:
    """Answer with a room as a page."""
    desk = desk_of(request)
    await desk.settled(WAIT_S if desk.plan is not None else FIRST_WAIT_S)
    room = room_at(request.path_params["room"])
    await _look(request, room)
    return page(request, desk, room)


async def room_json(request: Request) -> Response:
    """Answer with the data of a room's page."""
    desk, room = desk_of(request), room_at(request.path_params["room"])
    await desk.settled(WAIT_S)
    await _look(request, room)
    data = room.view(desk.plan, asked(request)) if desk.plan is not None else {}
    return JSONResponse({"display": desk.name, "current": desk.current, "problems": _problems(desk), "room": data})


async def _look(request: Request, room: Room) -> None:
    """Let a room see what is only on disk."""
    lighting: Lighting = request.app.state.lighting
    lighting.seen()
    if room.name == "test":
        await lighting.look()


def _button(act: Callable[[Desk], Awaitable[str]], words: str) -> Callable[[Request], Awaitable[Response]]:
    async def pressed(request: Request) -> Response:
        desk = desk_of(request)
        form = await request.form()
        back = str(form.get("back", "/overview"))
        try:
            said = await act(desk)
        except HollowglowError as error:
            return await refused(request, back, Said({}, of_error(error)), 409)
        await desk.settled(WAIT_S)
        if words and said:
            return await refused(request, back, Said({}, "", f"{words}: {said}."), 200)
        return RedirectResponse(back_to(back), 303)

    return pressed


async def _read_again(desk: Desk) -> str:
    await desk.read()
    return ""


async def _stop(desk: Desk) -> str:
    desk.stop()
    return ""


async def _again(desk: Desk) -> str:
    await desk.again()
    return ""


async def units(request: Request) -> Response:
    """Keep which units the person wants first."""
    form = await request.form()
    answer = RedirectResponse(back_to(str(form.get("back", "/overview"))), 303)
    chosen = "us" if form.get("units") == "us" else "metric"
    answer.set_cookie("units", chosen, max_age=31536000, samesite="strict", httponly=True)
    return answer


async def close_tour(request: Request) -> Response:
    """Keep that the person wants no tour any more."""
    form = await request.form()
    answer = RedirectResponse(back_to(str(form.get("back", "/overview"))), 303)
    answer.set_cookie(tour.COOKIE, tour.CLOSED, max_age=31536000, samesite="strict", httponly=True)
    return answer


async def changes(request: Request) -> Response:
    """Stream a line at every change of what is shown, until the page goes away."""
    desk = desk_of(request)
    lighting: Lighting = request.app.state.lighting

    async def news() -> AsyncIterator[str]:
        version = desk.version
        lighting.pages += 1
        try:
            yield f"data: {version}\n\n"
            while not await request.is_disconnected():
                version = await desk.newer(version, NEWS_S)
                yield f"data: {version}\n\n"
        finally:
            lighting.pages -= 1
            lighting.seen()

    return StreamingResponse(news(), media_type="text/event-stream")


def _problems(desk: Desk) -> list[dict[str, Any]]:
    return [
        {"line": p.line, "where": p.where, "found": p.found, "expected": p.expected, "mend": p.mend}
        for p in desk.problems
    ]


def failure(request: Request, words: str, status: int) -> Response:
    """Answer with what went wrong, in the one shape that it has: words on a page, or as JSON."""
    if request.url.path.endswith(".json"):
        return failed(request.url.path, words, status)
    return page(request, desk_of(request), ROOMS[0], Said({}, words), status)


async def _no_page(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    words = "There is no page of this name on the workbench." if error.detail == "Not Found" else error.detail
    return failure(request, words, error.status_code)


async def _cannot(request: Request, error: Exception) -> Response:
    return failure(request, of_error(error), 409)


async def _own_fault(request: Request, error: Exception) -> Response:
    words = f"This page could not be made, and it is Hollowglow's own fault: {type(error).__name__}: {error}"
    return failed(request.url.path, words, 500)
