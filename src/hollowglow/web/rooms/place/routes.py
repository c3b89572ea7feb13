"""What the Place room is sent: places changed by forms and by the drawing, pictures and paths brought in, tables taken out."""

from __future__ import annotations

import asyncio
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any

from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from hollowglow.analysis.site.placement.imports import MOST_BYTES
from hollowglow.file.reading.load import load_text
from hollowglow.file.text.commands import Edit, Put
from hollowglow.jobs.site import backdrops
from hollowglow.jobs.site.form import length_m
from hollowglow.jobs.site.moves import change_of
from hollowglow.jobs.site.places import BY_BACKDROP, line_edit, points_edit, spots_csv
from hollowglow.messages.errors import DisplayError
from hollowglow.messages.refusal import Refusal
from hollowglow.quantity import measures
from hollowglow.web.desk.desk import ClashError, Desk
from hollowglow.web.forms.answering import wrong
from hollowglow.web.page.frame import Said, units_of
from hollowglow.web.words import of_error

# What a form adds around the file in it.
_AROUND = 1_000_000
# What is read only to be thrown away, so that the browser waits for the answer; beyond that the connection is closed.
_MOST_WASTED = 4 * 1024**3
_SCALE = "What one unit of the picture measures"

Answer = Callable[[Request, str, Said | None, int], Awaitable[Response]]
Work = Callable[[Request, Desk, FormData, dict[str, str]], Awaitable[None]]


def routes(answer: Answer) -> list[Route]:
    """Return the addresses of the Place room.

    Args:
        answer: makes the page that follows a form: from the request, the page to go back to, what has to be told (None
            where all is well), and the status.
    """
    return [
        Route("/place/do", _page(_do, answer), methods=["POST"]),
        Route("/place/do.json", _twin(_do), methods=["POST"]),
        Route("/place/backdrop", _page(_backdrop, answer, backdrops.MOST_BYTES), methods=["POST"]),
        Route("/place/path", _page(_path, answer, MOST_BYTES), methods=["POST"]),
        Route("/place/backdrop.jpg", picture),
        Route("/place/backdrop.json", picture_size),
        Route("/place/places.csv", table),
    ]


def _page(work: Work, answer: Answer, most: int = MOST_BYTES) -> Callable[[Request], Awaitable[Response]]:
    async def posted(request: Request) -> Response:
        if await _too_long(request, most):
            return await answer(request, "/place", Said({}, backdrops.too_large("The file")), 413)
        async with request.form() as form:
            texts = {key: value for key, value in form.items() if isinstance(value, str)}
            back = texts.get("back", "/place")
            try:
                await work(request, request.app.state.desk, form, texts)
            except DisplayError as error:
                return await answer(request, back, Said({}, _words(error), typed=texts), 422)
            except (ClashError, Refusal) as error:
                return await answer(request, back, wrong(error, texts), 409 if isinstance(error, ClashError) else 422)
        return await answer(request, back, None, 303)

    return posted


def _twin(work: Work) -> Callable[[Request], Awaitable[Response]]:
    async def posted(request: Request) -> Response:
        async with request.form() as form:
            texts = {key: value for key, value in form.items() if isinstance(value, str)}
            try:
                await work(request, request.app.state.desk, form, texts)
            except (ClashError, Refusal, DisplayError) as error:
                words = _words(error) if isinstance(error, DisplayError) else of_error(error)
                status = 409 if isinstance(error, ClashError) else 422
                return JSONResponse({"error": {"status": status, "message": words}}, status)
        return JSONResponse({"display": request.app.state.desk.name, "version": request.app.state.desk.version})

    return posted


def _words(error: DisplayError) -> str:
    """Return what a change would have made wrong, in words."""
    told = [f"{p.where}: found {p.found}, expected {p.expected}. {p.mend}".strip() for p in error.problems[:3]]
    more = f" And {len(error.problems) - 3} more." if len(error.problems) > 3 else ""
    return f"Nothing was changed. {' '.join(told)}{more}"


async def _too_long(request: Request, most: int) -> bool:
    """Return whether a request is too long; what it holds is then thrown away unread."""
    stated = request.headers.get("content-length", "")
    if stated.isdecimal() and int(stated) <= most + _AROUND:
        return False
    wasted = 0
    async for chunk in request.stream():
        wasted += len(chunk)
        if wasted > _MOST_WASTED:
            break
    return True


async def _do(request: Request, desk: Desk, _form: FormData, texts: dict[str, str]) -> None:
    def made(text: str, name: str) -> tuple[tuple[Edit, ...], str]:
        change = change_of(text, name, texts, units_of(request))
        return change.edits, change.why

    await desk.change(made)


def _file(form: FormData) -> UploadFile:
    file = form.get("file")
    if not isinstance(file, UploadFile) or not file.filename:
        raise Refusal("No file was chosen. Choose one and send the form again.")
    return file


async def _backdrop(_request: Request, desk: Desk, form: FormData, texts: dict[str, str]) -> None:
    """Put a picture beside the display, as wide as was typed until it is scaled better."""
    file = _file(form)
    width = texts.get("wide", "").strip()
    length_m(width, "How wide what the picture shows is", measures.LENGTH, "wide")
    name, (wide, high) = await asyncio.to_thread(
        backdrops.take_in, file.file, file.filename or "picture", desk.path.resolve().parent
    )
    value = {"picture": name, "points": [[0, high], [wide, high]], "length": width}

    def made(_text: str, _name: str) -> tuple[list[Edit], str]:
        return [Put(("place", "backdrop"), value)], f"backdrop {name}"

    await desk.change(made)


async def _path(request: Request, desk: Desk, form: FormData, texts: dict[str, str]) -> None:
    """Set a string out along a path of an SVG picture, or at the points of a CSV table."""
    file, units = _file(form), units_of(request)
    name, string = file.filename or "the file", texts.get("string", "")
    data = await file.read(MOST_BYTES + 1)
    if len(data) > MOST_BYTES:
        raise Refusal(f"{name} is larger than {MOST_BYTES // 1_000_000} MB. Save a smaller one.")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise Refusal(f"{name}: found no text in UTF-8, expected an SVG picture or a CSV table.") from None

    def made(stated: str, of: str) -> tuple[list[Edit], str]:
        display = load_text(stated, of)
        if string not in display.strings:
            raise Refusal("The form names no string of this display. Load the page again.")
        backdrop = display.place.backdrop
        if Path(name).suffix.lower() != ".svg":
            return [points_edit(string, text, name, backdrop, units)], f"{string}: points from {name}"
        scale = texts.get("scale", "").strip() or BY_BACKDROP
        if scale != BY_BACKDROP:
            length_m(scale, _SCALE, measures.LENGTH, "scale")
        ident = texts.get("ident", "").strip() or None
        place = display.strings[string].place
        return [line_edit(string, place, text, name, ident, scale, backdrop, units)], f"{string}: line from {name}"

    await desk.change(made)


def _backdrop_of(request: Request) -> Path:
    desk: Desk = request.app.state.desk
    stated = desk.plan.assembly.display.place.backdrop if desk.plan is not None else None
    if stated is None:
        raise Refusal("This display has no backdrop. Bring in a photograph or a plan in the Place room.")
    return desk.path.resolve().parent / stated.picture


async def picture(request: Request) -> Response:
    """Answer with the backdrop, upright and small enough for a screen."""
    data = await asyncio.to_thread(backdrops.for_screen, _backdrop_of(request))
    return Response(data, media_type="image/jpeg", headers={"cache-control": "private, max-age=600"})


async def picture_size(request: Request) -> Response:
    """Answer with the size of the backdrop in its own pixels."""
    path = _backdrop_of(request)
    wide, high = await asyncio.to_thread(backdrops.size_of, path)
    made: dict[str, Any] = {"picture": path.name, "width": wide, "height": high}
    return JSONResponse(made)


async def table(request: Request) -> Response:
    """Answer with the places of all props as CSV."""
    plan = request.app.state.desk.plan
    if plan is None:
        raise Refusal("There is no plan yet, so there are no places.")
    head = {"content-disposition": 'attachment; filename="places.csv"'}
    return Response(await asyncio.to_thread(spots_csv, plan), media_type="text/csv; charset=utf-8", headers=head)
