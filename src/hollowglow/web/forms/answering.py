"""What every answer of the workbench needs: whose desk it is, and a form shown again with what was wrong."""

from __future__ import annotations

from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from starlette.responses import RedirectResponse, Response

from hollowglow.messages.errors import HollowglowError
from hollowglow.messages.refusal import FormError
from hollowglow.web.desk.values import back_to
from hollowglow.web.page.frame import Said, page
from hollowglow.web.page.rooms import room_at
from hollowglow.web.words import of_error

if TYPE_CHECKING:
    from collections.abc import Mapping

    from starlette.requests import Request

    from hollowglow.web.desk.desk import Desk
    from hollowglow.web.desk.errands import Errands

# How long a change may keep its page waiting for the numbers; what takes longer shows a bar instead.
WAIT_S = 2.0


def desk_of(request: Request) -> Desk:
    """Return the desk of the application that a request came to."""
    desk: Desk = request.app.state.desk
    return desk


def errands_of(request: Request) -> Errands:
    """Return the long work of the application that a request came to."""
    errands: Errands = request.app.state.errands
    return errands


async def refused(request: Request, back: str, said: Said, status: int) -> Response:
    """Show the page of a form again, with what was wrong beside the field and what was typed still in it."""
    parts = urlsplit(back_to(back))
    room = room_at(parts.path.strip("/").split("/")[0])
    return page(request, desk_of(request), room, said, status, query=parts.query)


def wrong(error: HollowglowError, typed: Mapping[str, str]) -> Said:
    """Return what a page has to tell of a form that was not taken: beside its fields where the error names them."""
    return Said(error.fields, typed=typed) if isinstance(error, FormError) else Said({}, of_error(error), typed=typed)


async def after_form(request: Request, back: str, said: Said | None, status: int) -> Response:
    """Lead back to the page of a form, or show it again with what was wrong."""
    return RedirectResponse(back_to(back), status) if said is None else await refused(request, back, said, status)
