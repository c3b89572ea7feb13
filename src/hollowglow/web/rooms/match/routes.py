"""What a person does with photographs and a meter: put them on the bench, look, name props, keep the readings."""

from __future__ import annotations

import asyncio
from dataclasses import replace
from typing import TYPE_CHECKING, get_args

from starlette.datastructures import FormData, UploadFile
from starlette.formparsers import MultiPartException, MultiPartParser
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from hollowglow.messages.refusal import Refusal
from hollowglow.web.desk.album import MOST, MOST_BYTES, Album, in_words
from hollowglow.web.desk.photo_request import Look, Metering, Naming
from hollowglow.web.page.frame import Said, page
from hollowglow.web.page.rooms import room_at
from hollowglow.web.words import of_error

if TYPE_CHECKING:
    from collections.abc import AsyncGenerator

    from starlette.requests import Request

    from hollowglow.analysis.match import By
    from hollowglow.web.desk.errands import Errands

HERE = "/match"
_FIELDS_BYTES = 2**20
# Beyond this nothing is read at all; what is below it is told photograph by photograph.
MOST_AT_ONCE = 2 * MOST * MOST_BYTES


async def receive(request: Request) -> Response:
    """Take photographs in and analyse them; those that cannot be taken are named, the others are kept."""
    album = album_of(request)
    refused: list[Refusal] = []
    source = request.stream()
    try:
        form = await MultiPartParser(
            request.headers, _limited(source, MOST * MOST_BYTES + _FIELDS_BYTES), max_files=2 * MOST, max_fields=20
        ).parse()
    except (MultiPartException, KeyError, UnicodeDecodeError, ValueError):
        await _drained(source)
        return _again(request, "What came was no photograph that a form sends. Choose the files again.", 422)
    except OSError as error:
        await _drained(source)
        words = f"The photographs could not be kept ({error.strerror or error}). Make room on the disk."
        return _again(request, words, 422)
    except Refusal as error:
        await _drained(source)
        return _again(request, of_error(error), 422)
    before = len(album.pictures)
    try:
        files = [one for one in form.getlist("photographs") if isinstance(one, UploadFile) and one.filename]
        if not files:
            return _again(request, "Found no photograph, expected one or more. Choose files, or drop them here.", 422)
        for one in files:
            try:
                await asyncio.to_thread(album.add, one.filename or "", one.file, one.size or 0)
            except Refusal as error:
                refused.append(error)
    finally:
        await form.close()
    if len(album.pictures) > before:
        await _look(request)
    if refused:
        return _again(request, in_words(refused), 422)
    return _back()


async def _limited(source: AsyncGenerator[bytes, None], most: int) -> AsyncGenerator[bytes, None]:
    count = 0
    async for chunk in source:
        count += len(chunk)
        if count > most:
            raise Refusal(
                f"Found more than {most / 2**20:,.0f} MiB at once, expected {MOST} photographs of 64 MiB at most. "
                "Choose fewer, or save them smaller."
            )
        yield chunk


async def _drained(source: AsyncGenerator[bytes, None]) -> None:
    """Read the rest of a request, since a browser that still sends does not listen."""
    async for _ in source:
        pass


async def look(request: Request) -> Response:
    """Look at the photographs again, with the exposures that were typed, or without one of them."""
    album, form = album_of(request), await request.form()
    typed = _numbered(form, "exposure:")
    album.note(typed, form.get("lens") == "even")
    gone = str(form.get("gone", ""))
    if gone.isdecimal():
        await asyncio.to_thread(album.remove, int(gone))
    if album.pictures:
        await _look(request)
    else:
        await errands_of(request).forget("photographs", "named")
    return _back()


async def name(request: Request) -> Response:
    """Measure the kinds by the props that were named, and keep the readings where that is asked for."""
    form = await request.form()
    newest = errands_of(request).newest
    seen, last = newest.get("photographs"), newest.get("named")
    if seen is None or seen.state != "done":
        return _again(request, "The photographs have to be looked at first.", 422)
    if form.get("keep") and last is not None and last.args[0] == seen.args[0]:
        naming: Naming = last.args[1]
        asked = replace(naming, keep=True)
        title = "Keeping the readings"
    else:
        chosen = {n: kind for n, kind in _numbered(form, "of:").items() if kind}
        labels, levels, distances = (str(form.get(name, ""))[:100_000] for name in ("labels", "levels", "distances"))
        asked = Naming(chosen, labels, levels, distances, _by(form))
        title = "Measuring the kinds"
    await errands_of(request).start("named", (seen.args[0], asked), title)
    return _back()


async def meter(request: Request) -> Response:
    """Take what a meter showed, and keep it where that is asked for."""
    from hollowglow.web.rooms.match.task import wrong_readings

    form = await request.form()
    typed = {key[6:]: str(value)[:200] for key, value in form.items() if key.startswith("meter:")}
    asked = Metering(typed, str(form.get("level", ""))[:4000], _by(form), bool(form.get("keep")))
    wrong = wrong_readings(asked)
    if wrong:
        texts = {key: str(value) for key, value in form.items()}
        said = Said(wrong, typed=texts)
        return page(request, request.app.state.desk, room_at("match"), said, 422, query="")
    await errands_of(request).start("metered", (asked,), "Working out what the meter showed")
    return _back("meter")


def _by(form: FormData) -> By | None:
    from hollowglow.analysis.match import By

    wanted = form.get("by")
    return next((by for by in get_args(By) if by == wanted), None)


def _numbered(form: FormData, start: str) -> dict[int, str]:
    found = {}
    for key, value in form.items():
        number = key.removeprefix(start)
        if key.startswith(start) and number.isascii() and number.isdecimal() and len(number) < 7:
            found[int(number)] = str(value)
    return found


async def _look(request: Request) -> None:
    wanted: Look = album_of(request).look()
    many = len(wanted.paths)
    title = f"Looking at {many} photograph{'s' if many != 1 else ''}"
    await errands_of(request).start("photographs", (wanted,), title)


def _back(part: str = "photographs") -> Response:
    return RedirectResponse(f"{HERE}#{part}", 303)


def _again(request: Request, words: str, status: int) -> Response:
    said = Said({"photographs": words})
    return page(request, request.app.state.desk, room_at("match"), said, status, query="")


def album_of(request: Request) -> Album:
    """Return the photographs of the application that a request came to."""
    album: Album = request.app.state.album
    return album


def errands_of(request: Request) -> Errands:
    """Return the long work of the application that a request came to."""
    errands: Errands = request.app.state.errands
    return errands


ROUTES = [
    Route("/photographs", lambda _request: RedirectResponse(HERE), methods=["GET"]),
    Route("/photographs", receive, methods=["POST"]),
    Route("/photographs/look", look, methods=["POST"]),
    Route("/photographs/name", name, methods=["POST"]),
    Route("/meter", meter, methods=["POST"]),
]
