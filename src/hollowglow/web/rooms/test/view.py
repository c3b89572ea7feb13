"""The room where the display is lit: what is sent, the walk with its answers, what a show draws."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from hollowglow.show.demand.allowed import limits_title
from hollowglow.show.walk import ANSWERS, SORTS, TITLES, Walk, look_words, place_words

if TYPE_CHECKING:
    from hollowglow.plan import Plan
    from hollowglow.web.page.rooms import Ask
    from hollowglow.web.rooms.test.lighting import Lighting
    from hollowglow.web.rooms.test.listening import Listening

# Beyond so many steps a page lists no single props; they are reached by their id.
_MOST_LISTED = 150
_SIGNS = dict(zip(ANSWERS, "●○◐≈◌⇄", strict=True))
_LETTERS = {
    "r": "red",
    "g": "green",
    "b": "blue",
    "w": "white",
    "y": "yellow",
    "c": "cyan",
    "m": "magenta",
    "-": "dark",
}


def view(_plan: Plan, ask: Ask) -> dict[str, Any]:
    """Return what is sent and heard now, and the record of answers."""
    return dict(ask.live())


def shown(lighting: Lighting, listening: Listening) -> dict[str, Any]:
    """Return what the page of this room shows, as plain data."""
    session, last = lighting.session, lighting.last
    heard = listening.heard
    draws = heard.data["draws"] if heard is not None else lighting.meter.rows if lighting.meter is not None else []
    return {
        "sending": session is not None,
        "to": lighting.wanted.to if lighting.wanted is not None and session is not None else "",
        "since": lighting.since,
        "ended": lighting.ended,
        "left_on": lighting.left_on,
        "asked": {
            "to": last.to,
            "percent": f"{last.percent:g}",
            "interface": last.interface or "",
            "away": "" if last.away_s is None else f"{last.away_s / 60:g}",
            "only": last.only or "",
        },
        "sorts": [{"sort": sort, "title": TITLES[sort]} for sort in SORTS],
        "walk": None if session is None else _walk(session.walk, session.one),
        "limited": "" if session is None else session.limiter.last.words,
        "ticket": lighting.ticket,
        "answers": [{"answer": answer, "sign": _SIGNS[answer], "key": str(i + 1)} for i, answer in enumerate(ANSWERS)],
        "letters": _LETTERS,
        "said": list(lighting.said),
        "record": lighting.record.data(),
        "listening": {
            "on": listening.on,
            "origin": listening.origin,
            "port": listening.port,
            "said": list(listening.said),
            "ended": listening.ended,
            "heard": None if heard is None else heard.data,
        },
        "draws": draws,
        "draws_title": limits_title(one["sort"] for one in draws),
    }


def _walk(walk: Walk, one: str) -> dict[str, Any]:
    step, layout = walk.step, walk.layout
    steps = [s for s in walk.steps if s.sort != "prop" or len(walk.steps) <= _MOST_LISTED]
    return {
        "id": step.id,
        "sort": step.sort,
        "title": TITLES[step.sort],
        "target": step.target,
        "place": place_words(layout, step),
        "look": look_words(layout, step),
        "at": walk.at + 1,
        "all": len(walk.steps),
        "aside": walk.aside is not None,
        "ended": walk.ended,
        "dark": walk.dark,
        "trial": "" if step.sort != "load" else "running" if walk.started and not walk.held else "ready",
        "one": one,
        "percent": walk.percent,
        "steps": [{"id": s.id, "title": TITLES[s.sort], "target": s.target} for s in steps],
    }
