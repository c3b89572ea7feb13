"""The Prove room on a phone: the same session, page and forms as on the laptop, and answers that may come late or twice."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, cast

from starlette.routing import BaseRoute, Route

from strandwright.errors import UseError
from strandwright.workbench.pages import Said
from strandwright.workbench.phone.answers import AnswerError, Take
from strandwright.workbench.phone.app import show
from strandwright.workbench.prove_routes import AT, prove_routes
from strandwright.workbench.rooms.prove import shown
from strandwright.workbench.spoken import spoken

if TYPE_CHECKING:
    from collections.abc import Mapping

    from starlette.applications import Starlette
    from starlette.requests import Request
    from starlette.responses import Response

    from strandwright.workbench.desk import Desk
    from strandwright.workbench.proving import Proving

LINKS = ((AT, "Prove"),)
_LONGEST = 200


def routes() -> list[BaseRoute]:
    """Return what a phone can reach beyond the pages to read."""
    return [Route(AT, prove_page), *prove_routes()]


def join(phones: Starlette, bench: Starlette) -> None:
    """Let the application for phones share the session of the workbench's own."""
    for name in ("proving", "listening", "glow"):
        setattr(phones.state, name, getattr(bench.state, name))
    phones.state.prove_page = _answered


def taker(bench: Starlette) -> Take:
    """Return what takes the answers of phones: a table with answer, step, and perhaps seen and note."""

    async def take(made_id: str, rest: Mapping[str, Any]) -> Mapping[str, Any]:
        proving = cast("Proving", bench.state.proving)
        if proving.desk.plan is None:
            raise UseError("The display has to be computed before answers can be kept.")
        answer, step, seen, note = (str(rest.get(key, ""))[:_LONGEST] for key in ("answer", "step", "seen", "note"))
        try:
            return await proving.answer(made_id, answer, step, seen, note)
        except UseError as error:
            raise AnswerError(spoken(str(error))) from None

    return take


async def prove_page(request: Request) -> Response:
    """Answer with the room as a phone shows it."""
    proving = cast("Proving", request.app.state.proving)
    proving.seen()
    await proving.look()
    return _shown(request, Said(), 200)


def _answered(request: Request, _desk: Desk, _room: object, said: Said, status: int, query: str) -> Response:
    return _shown(request, said, status)


def _shown(request: Request, said: Said, status: int) -> Response:
    state = request.app.state
    data = shown(state.proving, state.listening) if state.desk.plan is not None else None
    return show(request, "phone/prove.html", status, data=data, said=said)
