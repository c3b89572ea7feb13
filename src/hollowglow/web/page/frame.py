"""From a room to its page: the template, the display's state around it, and what has to be said."""

from __future__ import annotations

import json
from dataclasses import dataclass, field, replace
from functools import cached_property, partial
from typing import TYPE_CHECKING, Any

from jinja2 import Environment, StrictUndefined, pass_context
from starlette.datastructures import QueryParams
from starlette.responses import HTMLResponse

from hollowglow.file.reading.assumptions import assumptions
from hollowglow.file.text.source import spell
from hollowglow.jobs.start.first import FIRST_SUPPLY
from hollowglow.jobs.start.parts import parts_of
from hollowglow.messages import SEVERITY_WORDS, severity_count
from hollowglow.quantity.written import spoken
from hollowglow.web.desk.values import as_typed, at, plain
from hollowglow.web.page import measures
from hollowglow.web.page.rooms import ROOMS, Ask, Room
from hollowglow.web.page.tour import COOKIE, stop_at
from hollowglow.web.resources import page_loader

if TYPE_CHECKING:
    from collections.abc import Mapping

    from jinja2.runtime import Context
    from starlette.requests import Request

    from hollowglow.plan import Plan
    from hollowglow.web.desk.desk import Desk


@dataclass(frozen=True)
class Said:
    """What a page has to tell beyond its numbers.

    Attributes:
        fields: what is wrong with a field, by its path as JSON; under the empty name, what belongs to no field.
        trouble: what went wrong as a whole.
        good: what was done.
        typed: what the person had typed, by path, so that nothing is lost.
    """

    fields: Mapping[str, str] = field(default_factory=dict)
    trouble: str = ""
    good: str = ""
    typed: Mapping[str, str] = field(default_factory=dict)


def units_of(request: Request) -> measures.Units:
    """Return the units that a browser chose, those that the display file speaks where it chose none."""
    chosen = request.cookies.get("units")
    return "us" if chosen == "us" else "metric" if chosen == "metric" else spoken(request.app.state.desk.text)


def asked(request: Request, query: str | None = None) -> Ask:
    """Return what a request wants to see: its query, the units of its browser, the long work so far."""
    params = request.query_params if query is None else QueryParams(query)
    state = request.app.state

    return Ask(dict(params), units_of(request), state.errands.newest, state.album, state.live)


def page(
    request: Request, desk: Desk, room: Room, said: Said | None = None, status: int = 200, query: str | None = None
) -> HTMLResponse:
    """Return the page of a room.

    Args:
        request: what asked for it.
        desk: the display.
        room: which page.
        said: what has to be told on it.
        status: of the answer.
        query: what the page is about, where that is not the request's own query.
    """
    ask = asked(request, query)
    data = room.view(desk.plan, ask) if desk.plan is not None else None
    text = " ".join(f"{k}={v}" for k, v in ask.query.items())
    back = f"/{room.name}" + (f"?{query if query is not None else request.url.query}" if text else "")
    try:
        stated = plain(desk.text) if desk.text else {}
    except Exception:  # the text is no YAML; its problems are shown instead
        stated = {}
    told = said or Said()
    make = partial(
        _ENVIRONMENT.get_template(f"{room.name}.html").render,
        desk=desk,
        room=room,
        rooms=ROOMS,
        data=data,
        ask=ask,
        units=ask.units,
        back=back,
        stated=stated if isinstance(stated, dict) else {},
        plan=desk.plan,
        assumed=_Assumed(desk.plan),
        lighting=request.app.state.lighting,
        line=request.app.state.line,
        tour=stop_at(
            room.name,
            [one.name for one in ROOMS],
            desk.plan.assembly.display.display if desk.plan is not None else "",
            request.cookies.get(COOKIE, ""),
        ),
    )
    html = make(said=told)
    # What belongs to a field that this page does not have is told at its top.
    missed = [
        words
        for key, words in told.fields.items()
        if key and str(_ENVIRONMENT.filters["escape"](words))[1:] not in html
    ]
    if missed:
        html = make(said=replace(told, trouble=" ".join([told.trouble, *dict.fromkeys(missed)]).strip()))
    return HTMLResponse(html, status)


def render(template: str, **context: Any) -> str:
    """Return a page of another server of the workbench as HTML."""
    return _ENVIRONMENT.get_template(template).render(**({"said": Said()} | context))


@pass_context
def _length(context: Context, metres: float | None) -> str:
    return measures.length(metres, context["units"])


@pass_context
def _value(context: Context, path: list[str]) -> str:
    """Return what stands in a field: what the person typed last if it was refused, else what the file says."""
    key = json.dumps(path)
    said: Said = context["said"]
    return said.typed.get(key, as_typed(at(context["stated"], tuple(path))))


@pass_context
def _stated(context: Context, path: list[str]) -> str:
    """Return what the file says at a path, as a person would type it."""
    return as_typed(at(context["stated"], tuple(path)))


@pass_context
def _was(context: Context, path: list[str]) -> str:
    """Return as JSON what the file says at a path."""
    return json.dumps(at(context["stated"], tuple(path)), default=str)


@pass_context
def _taken(context: Context, path: list[str]) -> str:
    """Return what is taken at a path where the file says nothing there, empty where that is nothing to tell."""
    made: _Assumed = context["assumed"]
    return made.values.get(spell(tuple(path)), "")


class _Assumed:
    """What a plan took for what its file does not say; looked up once a page, and only if the page asks."""

    def __init__(self, plan: Plan | None) -> None:
        self.plan = plan

    @cached_property
    def values(self) -> Mapping[str, str]:
        """Return the values by the places that would say them."""
        if self.plan is None:
            return {}
        return {one.where: one.value for one in assumptions(self.plan.assembly.display)}


@pass_context
def _wrong(context: Context, path: list[str]) -> str:
    said: Said = context["said"]
    return said.fields.get(json.dumps(path), "")


def _environment() -> Environment:
    made = Environment(
        loader=page_loader(),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters |= {
        "length": _length,
        "spot": pass_context(lambda context, metres: measures.spot(metres, context["units"])),
        "quantity": measures.quantity,
        "percent": measures.percent,
        "amps": measures.amps,
        "volts": measures.volts,
        "rounded": measures.rounded,
        "size": measures.size,
        "severity": SEVERITY_WORDS.__getitem__,
        "severity_count": severity_count,
        "path_key": lambda path: json.dumps(list(path)),
        "value_at": _value,
        "was_at": _was,
        "stated_at": _stated,
        "wrong_at": _wrong,
        "taken_at": _taken,
        "length_of": lambda many: f"{len(many)} mistake{'s' if len(many) != 1 else ''}",
    }
    made.globals |= {"parts_of": parts_of, "first_supply": FIRST_SUPPLY}
    return made


_ENVIRONMENT = _environment()
