"""The laptop's page about phones: the picture to scan, the code, who is in, and a button that shuts them out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Route

from hollowglow.web.desk.desk import Desk
from hollowglow.web.page.frame import page
from hollowglow.web.page.rooms import Room

if TYPE_CHECKING:
    from starlette.requests import Request

    from hollowglow.web.phone.line import PhoneLine

ROOM = Room("phone", "Phone", planless=True)


def phone_routes() -> list[Route]:
    """Return the addresses of the laptop's page about phones."""
    return [
        Route("/phone", show),
        Route("/phone.json", show_json),
        Route("/phone/qr.svg", picture),
        Route("/phone/shut", shut, methods=["POST"]),
    ]


def line_of(request: Request) -> PhoneLine | None:
    """Return the line to the phones, None where none was asked for."""
    line: PhoneLine | None = request.app.state.line
    return line


async def show(request: Request) -> Response:
    """Answer with the page."""
    return page(request, request.app.state.desk, ROOM)


async def show_json(request: Request) -> Response:
    """Answer with what the page shows."""
    line = line_of(request)
    room: dict[str, Any] = {"on": line is not None}
    if line is not None:
        room |= {
            "addresses": [line.address(host) for host in line.hosts],
            "code": line.gate.code,
            "code_left": round(line.gate.code_left_s),
            "locked": round(line.gate.locked_s),
            "phones": line.gate.phones,
        }
    return JSONResponse({"room": room})


async def picture(request: Request) -> Response:
    """Answer with the picture to scan."""
    line, host = line_of(request), request.query_params.get("at", "")
    if line is None or host not in line.hosts:
        raise HTTPException(404, "No phone was asked for, or not at this address.")
    return Response(line.picture(host), media_type="image/svg+xml")


async def shut(request: Request) -> Response:
    """Send every phone out and make a new code."""
    line, desk = line_of(request), request.app.state.desk
    assert isinstance(desk, Desk)
    if line is not None:
        line.gate.shut()
        await desk.tell()
    return RedirectResponse("/phone", 303)
