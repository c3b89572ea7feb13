"""Forms that change the display file, begin it, or try a change without writing it."""

from __future__ import annotations

import asyncio
import json
from typing import TYPE_CHECKING, Any

from starlette.responses import RedirectResponse, Response

from hollowglow.file.reading.load import load_text
from hollowglow.file.store.writing import whole
from hollowglow.file.text.commands import Put, Remove
from hollowglow.file.text.source import spell
from hollowglow.messages.errors import DisplayError, HollowglowError
from hollowglow.messages.refusal import Refusal
from hollowglow.quantity.shown import show
from hollowglow.web.desk.desk import ClashError, Desk
from hollowglow.web.desk.values import Path, at, back_to, plain, read_path, read_plain, typed
from hollowglow.web.forms.adding import added, beside_fields, first_of
from hollowglow.web.forms.answering import WAIT_S, desk_of, errands_of, refused, wrong
from hollowglow.web.page.frame import Said, units_of
from hollowglow.web.words import of_error

if TYPE_CHECKING:
    from collections.abc import Mapping

    from starlette.requests import Request


async def put(request: Request) -> Response:
    """Change the file as a form says, and show the page that the form was on.

    Fields named `put:["a","b"]` hold what the person typed for the key a.b, `was:["a","b"]` as JSON what the file said
    there when the page was made, and `seen:["a","b"]` what stood in the field, which may be a default. Where `list:["a"]` is
    there, `put:["a",0]`, `put:["a",1]` and so on are the entries of one list, which is put as a whole.
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
        return await refused(request, back, Said(_told(error, wanted), typed=_texts(wanted)), 422)
    except ClashError as error:
        clashing = _clashing(plain(desk.text), edits, shown)
        kept = _texts({path: text for path, text in wanted.items() if path in edits})
        return await refused(request, back, Said(clashing, "" if clashing else of_error(error), typed=kept), 409)
    except HollowglowError as error:
        return await refused(request, back, Said({}, of_error(error), typed=_texts(wanted)), 422)
    return RedirectResponse(back_to(back), 303)


def _clashing(data: Any, edits: Mapping[Path, Any], shown: Mapping[Path, Any]) -> dict[str, str]:
    """Return what to tell beside each field that the file says something else for by now than its page showed."""
    told = {}
    for path, value in shown.items():
        now = at(data, path)
        if now not in (value, edits[path]):
            said = "says nothing there" if now is None else f"says {show(now)}"
            told[json.dumps(list(path))] = (
                f"The file {said} by now, so nothing was changed. Write it once more to have yours all the same."
            )
    return told


def edits_of(texts: Mapping[str, str]) -> tuple[dict[Path, str], dict[Path, Any]]:
    """Return what a form says at each path of keys, and of that what was changed as the file will say it."""
    wanted = {read_path(key[4:]): value for key, value in texts.items() if key.startswith("put:")}
    whole = dict(wanted)
    for key, value in texts.items():
        if key.startswith("list:"):
            path = read_path(key[5:])
            whole = {one: text for one, text in whole.items() if one[:-1] != path}
            whole[path] = _joined([text for one, text in wanted.items() if one[:-1] == path], value)
            wanted[path] = whole[path]
    seen = {read_path(key[5:]): value for key, value in texts.items() if key.startswith("seen:")}
    return wanted, {path: typed(text) for path, text in whole.items() if text.strip() != seen.get(path)}


def _joined(entries: list[str], blank: str) -> str:
    """Return the entries of a list as one text, blank ones as stated; nothing where all are."""
    stripped = [text.strip() for text in entries]
    return f"[{', '.join(text or blank for text in stripped)}]" if any(stripped) else ""


async def preview(request: Request) -> Response:
    """Show a kind as it would be with what is in its form, without writing anything."""
    form = await request.form()
    texts = {key: value for key, value in form.items() if isinstance(value, str)}
    back, kind = texts.get("back", "/fill"), texts.get("kind", "")
    try:
        wanted, edits = edits_of(texts)
    except HollowglowError as error:
        return await refused(request, back, Said({}, of_error(error)), 422)
    puts = tuple(Remove(path) if value is None else Put(path, value) for path, value in edits.items())
    await errands_of(request).start("preview", (kind, puts), f"Computing the light of {kind}")
    await errands_of(request).settled("preview", WAIT_S)
    return await refused(request, back, Said(typed=_texts(wanted)), 200)


async def begin(request: Request) -> Response:
    """Write a first display as a form says."""
    form = await request.form()
    texts = {key: value for key, value in form.items() if isinstance(value, str)}
    try:
        await desk_of(request).begin(first_of(texts, units_of(request)))
    except DisplayError as error:
        names = (("kinds", "name"), ("strings", "string"), ("supplies", "supply"))
        own = tuple((section, texts.get(key, "").strip()) for section, key in names)
        return await refused(request, "/overview", Said(beside_fields(error, own), typed=texts), 422)
    except HollowglowError as error:
        return await refused(request, "/overview", wrong(error, texts), 422)
    return RedirectResponse("/overview", 303)


async def add(request: Request) -> Response:
    """Add a kind, a string or a supply as a form says."""
    desk, form = desk_of(request), await request.form()
    texts = {key: value for key, value in form.items() if isinstance(value, str)}
    back = texts.get("back", "/overview")
    own: tuple[Path, ...] = ()
    try:
        path, entry = added(texts, await asyncio.to_thread(load_text, desk.text, desk.name), units_of(request))
        own = (path,)
        await desk.put({path: entry}, {path: None}, f"{texts['sort']} {path[1]} added")
    except DisplayError as error:
        return await refused(request, back, Said(beside_fields(error, own), typed=texts), 422)
    except HollowglowError as error:
        return await refused(request, back, wrong(error, texts), 422)
    return RedirectResponse(back_to(back), 303)


async def write_back(desk: Desk) -> str:
    """Write a display whose file was taken away back as it was on the workbench; raises Refusal where there is a file."""
    text = desk.text
    if not text or await asyncio.to_thread(desk.path.exists):
        raise Refusal(f"{desk.name} is there, so nothing was written over it. Read it again instead.")

    def write() -> None:
        with whole(desk.path) as file:
            file.write(text)

    await asyncio.to_thread(write)
    await desk.read()
    return ""


def _texts(wanted: dict[Path, str]) -> dict[str, str]:
    return {json.dumps(list(path)): text for path, text in wanted.items()}


def _told(error: DisplayError, wanted: dict[Path, str]) -> dict[str, str]:
    """Put each problem to the field that it is about, the others to the whole form."""
    told: dict[str, str] = {}
    names = {spell(path): json.dumps(list(path)) for path in wanted}
    for problem in error.problems:
        field = next((n for where, n in names.items() if problem.where.startswith(where)), "") or next(
            # A key that has to be there, and was emptied.
            (n for where, n in names.items() if where == f"{problem.where}.{problem.found.removeprefix('no ')}"),
            "",
        )
        place = "" if field else f"{problem.where}: "
        words = f"{place}found {problem.found}, expected {problem.expected}. {problem.mend}".strip()
        told[field] = f"{told[field]} {words}" if field in told else words
    return told
