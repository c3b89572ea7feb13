"""The room Test on a phone: the same session, page and forms as on the laptop, and answers that may come late or twice."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, cast

from starlette.routing import BaseRoute, Route

from hollowglow.messages.refusal import Refusal
from hollowglow.web.page.frame import Said
from hollowglow.web.phone.answers import AnswerError, Take
from hollowglow.web.phone.app import show
from hollowglow.web.rooms.test.routes import AT, test_routes
from hollowglow.web.rooms.test.view import shown
from hollowglow.web.words import of_error

if TYPE_CHECKING:
    from collections.abc import Mapping

    from starlette.applications import Starlette
    from starlette.requests import Request
    from starlette.responses import Response

    from hollowglow.web.desk.desk import Desk
    from hollowglow.web.rooms.test.lighting import Lighting

LINKS = ((AT, "Test"),)
_LONGEST = 200


def routes() -> list[BaseRoute]:
    """Return what a phone can reach beyond the pages to read."""
    return [Route(AT, test_page), *test_routes()]


def join(phones: Starlette, bench: Starlette) -> None:
    """Let the application for phones share the session of the workbench's own."""
    for name in ("lighting", "listening", "glow"):
        setattr(phones.state, name, getattr(bench.state, name))
    phones.state.test_page = _answered


def taker(bench: Starlette) -> Take:
    """Return what takes the answers of phones: a table with answer, step, and perhaps seen and note."""

    async def take(made_id: str, rest: Mapping[str, Any]) -> Mapping[str, Any]:
        lighting = cast("Lighting", bench.state.lighting)
        if lighting.desk.plan is None:
            raise Refusal("The display has to be computed before answers can be kept.")
        answer, step, seen, note = (str(rest.get(key, ""))[:_LONGEST] for key in ("answer", "step", "seen", "note"))
        try:
            return await lighting.answer(made_id, answer, step, seen, note)
        except Refusal as error:
            raise AnswerError(of_error(error)) from None

    return take


async def test_page(request: Request) -> Response:
    """Answer with the room as a phone shows it."""
    lighting = cast("Lighting", request.app.state.lighting)
    lighting.seen()
    await lighting.look()
    return _shown(request, Said(), 200)


def _answered(request: Request, _desk: Desk, _room: object, said: Said, status: int, query: str) -> Response:
    return _shown(request, said, status)


def _shown(request: Request, said: Said, status: int) -> Response:
    state = request.app.state
    data = shown(state.lighting, state.listening) if state.desk.plan is not None else None
    return show(request, "phone/test.html", status, data=data, said=said)
