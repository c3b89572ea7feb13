"""Long work that is begun, stopped and used, and the pictures and files that come of it and of the plan."""

from __future__ import annotations

import asyncio
from typing import TYPE_CHECKING
from urllib.parse import quote

from starlette.exceptions import HTTPException
from starlette.responses import RedirectResponse, Response

from hollowglow.messages.errors import HollowglowError
from hollowglow.web.desk.values import back_to
from hollowglow.web.forms.answering import desk_of, errands_of, refused
from hollowglow.web.page.frame import Said
from hollowglow.web.page.rooms import room_at
from hollowglow.web.words import of_error

if TYPE_CHECKING:
    from starlette.requests import Request

    from hollowglow.web.page.pictures import Pictures


async def errand(request: Request) -> Response:
    """Begin long work, with what its form says."""
    form = await request.form()
    texts = {key: value for key, value in form.items() if isinstance(value, str)}
    room = room_at(texts.get("room", ""))
    task = texts.get("task", "")
    if task not in room.tasks:
        raise HTTPException(404, "There is no such work in this room.")
    await errands_of(request).start(task, *room.wanted(task, texts))
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
    except HollowglowError as error:
        return await refused(request, back, Said({}, of_error(error)), 409)
    return RedirectResponse(back_to(back), 303)


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


async def addresses(request: Request) -> Response:
    """Answer with the address table as a file for a spreadsheet, of one string or of all."""
    plan, string = desk_of(request).plan, request.query_params.get("string")
    if plan is None or (string is not None and string not in plan.assembly.strings.names):
        raise HTTPException(404, "There is no address table of that name.")
    from hollowglow.jobs.export.tables import addresses_csv

    text = await asyncio.to_thread(addresses_csv, plan, string)
    return Response(
        text, media_type="text/csv", headers={"content-disposition": 'attachment; filename="addresses.csv"'}
    )
