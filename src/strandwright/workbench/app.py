"""Addresses and what answers them: rooms as pages and as JSON, changes, pictures, news."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator, Awaitable, Callable, Iterable, Mapping
from typing import Any
from urllib.parse import quote, urlsplit

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response, StreamingResponse
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from strandwright.display.commands import Put, Remove
from strandwright.display.load import load_text
from strandwright.display.source import spell
from strandwright.errors import DisplayError, StrandwrightError
from strandwright.jobs.export import addresses_csv
from strandwright.workbench import photographing, tour
from strandwright.workbench.adding import added, first_of
from strandwright.workbench.album import Album
from strandwright.workbench.desk import ClashError, Desk
from strandwright.workbench.errands import Errands
from strandwright.workbench.failing import failed
from strandwright.workbench.glow import Glow
from strandwright.workbench.guard import Guard
from strandwright.workbench.limits import BodyLimit
from strandwright.workbench.listening import Listening
from strandwright.workbench.pages import HERE, Said, asked, page
from strandwright.workbench.phone.line import Line
from strandwright.workbench.phone.shown import phone_routes
from strandwright.workbench.pictures import Pictures
from strandwright.workbench.placing import routes as place_routes
from strandwright.workbench.prove_routes import prove_routes
from strandwright.workbench.proving import Proving
from strandwright.workbench.rooms import ROOMS, Room, room_at
from strandwright.workbench.values import Path, back_to, read_path, read_plain, typed
from strandwright.workbench.worker import Worker

# How long a change may keep its page waiting for the numbers; what takes longer shows a bar instead.
WAIT_S = 2.0
# The very first page has no older numbers to show; it comes at once and its numbers when they are there.
FIRST_WAIT_S = 0.1
NEWS_S = 20.0


def make_app(desk: Desk, jobs: Worker, hosts: Iterable[str], album: Album, line: Line | None = None) -> Starlette:
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
            Route("/read-again", _button(_read_again, ""), methods=["POST"]),
            Route("/stop", _button(_stop, ""), methods=["POST"]),
            Route("/again", _button(_again, ""), methods=["POST"]),
            Route("/errand", errand, methods=["POST"]),
            Route("/errand/stop", errand_stop, methods=["POST"]),
            Route("/errand/use", errand_use, methods=["POST"]),
            Route("/units", units, methods=["POST"]),
            Route("/tour", close_tour, methods=["POST"]),
            Route("/picture/{name:path}.svg", picture),
            *prove_routes(),
            *phone_routes(),
            Route("/picture/errand/{task}/{name}.png", png),
            *photographing.ROUTES,
            Route("/taken/{task}/{name}", taken),
            *place_routes(_after_form),
            Mount("/static", StaticFiles(directory=HERE / "static")),
            Route("/address.csv", addresses),
            Route("/{room}.json", room_json),
            Route("/{room}", room_page),
        ],
        middleware=[
            Middleware(Guard, hosts=hosts),
            Middleware(BodyLimit, elsewhere={"/photographs": photographing.MOST_AT_ONCE}),
        ],
        exception_handlers={HTTPException: _no_page, StrandwrightError: _cannot, Exception: _own_fault},
    )
    app.state.desk, app.state.errands = desk, Errands(desk, jobs)
    app.state.pictures = Pictures(desk.path.resolve().parent)
    proving, listening = Proving(desk), Listening(desk)
    app.state.proving, app.state.listening, app.state.glow = proving, listening, Glow(desk, proving, listening)
    app.state.line, app.state.album = line, album
    return app


def desk_of(request: Request) -> Desk:
    """Return the desk of the application that a request came to."""
    desk: Desk = request.app.state.desk
    return desk


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
    proving: Proving = request.app.state.proving
    proving.seen()
    if room.name == "prove":
        await proving.look()


async def put(request: Request) -> Response:
    """Change the file as a form says, and show the page that the form was on.

    Fields named `put:["a","b"]` hold what the person typed for the key a.b, `was:["a","b"]` as JSON what the file said
    there when the page was made, and `seen:["a","b"]` what stood in the field, which may be a default.
    """
    desk = desk_of(request)
    form = await request.form()
    texts = {key: value for key, value in form.items() if isinstance(value, str)}
    back = texts.get("back", "/overview")
    wanted, edits = edits_of(texts)
    was = {read_path(key[4:]): read_plain(value) for key, value in texts.items() if key.startswith("was:")}
    why = texts.get("why") or ", ".join(f"{spell(path)}: {wanted[path].strip() or 'taken out'}" for path in edits)
    shown = {path: value for path, value in was.items() if path in edits}
    try:
        if edits:
            await desk.put(edits, shown, why)
    except DisplayError as error:
        return await _refused(request, back, Said(_told(error, wanted), typed=_texts(wanted)), 422)
    except ClashError as error:
        return await _refused(request, back, Said({}, str(error)), 409)
    except StrandwrightError as error:
        return await _refused(request, back, Said({}, str(error), typed=_texts(wanted)), 422)
    return RedirectResponse(back_to(back), 303)


def edits_of(texts: Mapping[str, str]) -> tuple[dict[Path, str], dict[Path, Any]]:
    """Return what a form says at each path of keys, and of that what was changed as the file will say it."""
    wanted = {read_path(key[4:]): value for key, value in texts.items() if key.startswith("put:")}
    seen = {read_path(key[5:]): value for key, value in texts.items() if key.startswith("seen:")}
    return wanted, {path: typed(text) for path, text in wanted.items() if text.strip() != seen.get(path)}


async def preview(request: Request) -> Response:
    """Show a kind as it would be with what is in its form, without writing anything."""
    form = await request.form()
    texts = {key: value for key, value in form.items() if isinstance(value, str)}
    back, kind = texts.get("back", "/fill"), texts.get("kind", "")
    try:
        wanted, edits = edits_of(texts)
    except StrandwrightError as error:
        return await _refused(request, back, Said({}, str(error)), 422)
    puts = tuple(Remove(path) if value is None else Put(path, value) for path, value in edits.items())
    await errands_of(request).start("preview", (kind, puts), f"Computing the light of {kind}")
    await errands_of(request).settled("preview", WAIT_S)
    return await _refused(request, back, Said(typed=_texts(wanted)), 200)


async def begin(request: Request) -> Response:
    """Write a first display as a form says."""
    form = await request.form()
    texts = {key: value for key, value in form.items() if isinstance(value, str)}
    try:
        await desk_of(request).begin(first_of(texts))
    except DisplayError as error:
        return await _refused(request, "/overview", Said(_told(error, {}), typed=texts), 422)
    except StrandwrightError as error:
        return await _refused(request, "/overview", Said({}, str(error), typed=texts), 422)
    return RedirectResponse("/overview", 303)


async def add(request: Request) -> Response:
    """Add a kind, a string or a supply as a form says."""
    desk, form = desk_of(request), await request.form()
    texts = {key: value for key, value in form.items() if isinstance(value, str)}
    back = texts.get("back", "/overview")
    try:
        path, entry = added(texts, await asyncio.to_thread(load_text, desk.text, desk.name))
        await desk.put({path: entry}, {path: None}, f"{texts['sort']} {path[1]} added")
    except DisplayError as error:
        return await _refused(request, back, Said(_told(error, {}), typed=texts), 422)
    except StrandwrightError as error:
        return await _refused(request, back, Said({}, str(error), typed=texts), 422)
    return RedirectResponse(back_to(back), 303)


def _texts(wanted: dict[Path, str]) -> dict[str, str]:
    return {json.dumps(list(path)): text for path, text in wanted.items()}


def _told(error: DisplayError, wanted: dict[Path, str]) -> dict[str, str]:
    """Put each problem to the field that it is about, the others to the whole form."""
    told: dict[str, str] = {}
    names = {spell(path): json.dumps(list(path)) for path in wanted}
    for problem in error.problems:
        field = next((n for where, n in names.items() if problem.where.startswith(where)), "")
        place = "" if field else f"{problem.where}: "
        words = f"{place}found {problem.found}, expected {problem.expected}. {problem.mend}".strip()
        told[field] = f"{told[field]} {words}" if field in told else words
    return told


async def _refused(request: Request, back: str, said: Said, status: int) -> Response:
    """Show the page of a form again, with what was wrong beside the field and what was typed still in it."""
    parts = urlsplit(back_to(back))
    room = room_at(parts.path.strip("/").split("/")[0])
    return page(request, desk_of(request), room, said, status, query=parts.query)


async def _after_form(request: Request, back: str, typed: Mapping[str, str], trouble: str, status: int) -> Response:
    """Lead back to the page of a form, or show it again with what was wrong."""
    if not trouble:
        return RedirectResponse(back_to(back), status)
    return await _refused(request, back, Said({}, trouble, typed=typed), status)


def _button(act: Callable[[Desk], Awaitable[str]], words: str) -> Callable[[Request], Awaitable[Response]]:
    async def pressed(request: Request) -> Response:
        desk = desk_of(request)
        form = await request.form()
        back = str(form.get("back", "/overview"))
        try:
            said = await act(desk)
        except StrandwrightError as error:
            return await _refused(request, back, Said({}, str(error)), 409)
        await desk.settled(WAIT_S)
        if words and said:
            return await _refused(request, back, Said({}, "", f"{words}: {said}."), 200)
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


def errands_of(request: Request) -> Errands:
    """Return the long work of the application that a request came to."""
    errands: Errands = request.app.state.errands
    return errands


async def errand(request: Request) -> Response:
    """Begin long work, with what its form says."""
    form = await request.form()
    texts = {key: value for key, value in form.items() if isinstance(value, str)}
    room = room_at(texts.get("room", ""))
    task = texts.get("task", "")
    if task not in room.errands:
        raise HTTPException(404, "There is no such work in this room.")
    await errands_of(request).start(task, *room.errands[task](texts))
    return RedirectResponse(back_to(texts.get("back", f"/{room.name}")), 303)


async def errand_stop(request: Request) -> Response:
    """Stop long work."""
    form = await request.form()
    await errands_of(request).stop(str(form.get("task", "")))
    return RedirectResponse(back_to(str(form.get("back", "/overview"))), 303)


async def errand_use(request: Request) -> Response:
    """Write into the file the one of the proposals of long work that was chosen."""
    form = await request.form()
    back, made = str(form.get("back", "/overview")), errands_of(request).newest.get(str(form.get("task", "")))
    proposals = made.result.proposals if made is not None and made.result is not None else {}
    chosen = proposals.get(str(form.get("which", "")))
    if made is None or chosen is None:
        raise HTTPException(404, "This proposal is not there any more. Compute it again.")
    try:
        await desk_of(request).apply(chosen.puts, made.of, chosen.why)
    except StrandwrightError as error:
        return await _refused(request, back, Said({}, str(error)), 409)
    return RedirectResponse(back_to(back), 303)


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


async def picture(request: Request) -> Response:
    """Answer with a picture of the plan."""
    name = request.path_params["name"]
    sort, _, about = name.partition("/")
    if sort == "errand":
        task, _, which = about.partition("/")
        drawn = errands_of(request).picture(task, which)
        if not isinstance(drawn, str):
            raise HTTPException(404, "This picture is not there any more. Compute it again.")
        return Response(drawn, media_type="image/svg+xml")
    plan = desk_of(request).plan
    if plan is None:
        raise HTTPException(404, "There is no plan yet, so there is no picture.")
    pictures: Pictures = request.app.state.pictures
    text = await pictures.svg(plan, name)
    if text is None:
        raise HTTPException(404, "This display has no picture of that name.")
    return Response(text, media_type="image/svg+xml")


async def addresses(request: Request) -> Response:
    """Answer with the address table as a file for a spreadsheet, of one string or of all."""
    plan, string = desk_of(request).plan, request.query_params.get("string")
    if plan is None or (string is not None and string not in plan.build.strings.names):
        raise HTTPException(404, "There is no address table of that name.")
    text = await asyncio.to_thread(addresses_csv, plan, string)
    return Response(
        text, media_type="text/csv", headers={"content-disposition": 'attachment; filename="addresses.csv"'}
    )


async def png(request: Request) -> Response:
    """Answer with a picture of long work that is no drawing."""
    found = errands_of(request).picture(request.path_params["task"], request.path_params["name"])
    if not isinstance(found, bytes):
        raise HTTPException(404, "This picture is not there any more. Compute it again.")
    return Response(found, media_type="image/png")


async def taken(request: Request) -> Response:
    """Answer with a file that long work made, to be kept."""
    made = errands_of(request).newest.get(request.path_params["task"])
    name = request.path_params["name"]
    content = made.result.files.get(name) if made is not None and made.result is not None else None
    if content is None:
        raise HTTPException(404, "This file is not there any more. Make it again.")
    sort = {"pdf": "application/pdf", "zip": "application/zip"}.get(name.rpartition(".")[2], "application/octet-stream")
    attached = f"attachment; filename*=UTF-8''{quote(name, safe='')}"
    return Response(content, media_type=sort, headers={"content-disposition": attached})


async def changes(request: Request) -> Response:
    """Stream a line at every change of what is shown, until the page goes away."""
    desk = desk_of(request)
    proving: Proving = request.app.state.proving

    async def news() -> AsyncIterator[str]:
        version = desk.version
        proving.pages += 1
        try:
            yield f"data: {version}\n\n"
            while not await request.is_disconnected():
                version = await desk.newer(version, NEWS_S)
                yield f"data: {version}\n\n"
        finally:
            proving.pages -= 1
            proving.seen()

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
    return failure(request, str(error), 409)


async def _own_fault(request: Request, error: Exception) -> Response:
    words = f"This page could not be made, and it is Strandwright's own fault: {type(error).__name__}: {error}"
    return failed(request.url.path, words, 500)
