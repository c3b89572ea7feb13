"""The room where unlike kinds are made to look alike: by the model, by photographs, by a meter, by hand."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, get_args

from hollowglow.analysis.match import By
from hollowglow.measured.photo import LEFT_OUT
from hollowglow.view.rows.level_rows import level_row
from hollowglow.web.desk.album import MOST

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hollowglow.plan import Plan
    from hollowglow.web.page.rooms import Ask, Wanted


def view(plan: Plan, ask: Ask) -> dict[str, Any]:
    """Return the levels of the file, those that the last search found, and what photographs and a meter showed."""
    kinds = list(plan.assembly.kinds.names)
    return {
        "levels": [level_row(row) for row in plan.levels],
        "fields": [_level(row.kind) for row in plan.levels],
        "trims": [_trims(row.kind, len(row.trims)) for row in plan.levels],
        "measured": [
            {"kind": name, "source": one.source}
            for name, one in zip(kinds, plan.optics.measured or (), strict=False)
            if one is not None
        ],
        "found": ask.brought("match"),
        "ways": list(get_args(By)),
        "kinds": [{"kind": name, "mark": mark(i)} for i, name in enumerate(kinds)],
        "left_out": LEFT_OUT,
        "photographs": _photographs(ask, kinds),
        "meter": _meter(ask, kinds),
    }


def _level(kind: str) -> dict[str, Any]:
    return {"label": f"{kind}, level", "path": ["levels", kind]}


def _trims(kind: str, colours: int) -> dict[str, Any]:
    names = ("red", "green", "blue", "white")[:colours]
    return {
        "label": f"{kind}, trims",
        "path": ["trims", kind],
        "names": names,
    }


def mark(place: int) -> str:
    """Return the letters that stand for a kind on a picture: A to Z, AA, AB and so on.

    >>> mark(0), mark(25), mark(26), mark(701)
    ('A', 'Z', 'AA', 'ZZ')
    """
    letters = ""
    place += 1
    while place:
        place, rest = divmod(place - 1, 26)
        letters = chr(65 + rest) + letters
    return letters


def _photographs(ask: Ask, kinds: list[str]) -> dict[str, Any]:
    """Return the photographs on the bench, their numbered props with the kinds named so far, and what these say."""
    album = ask.album
    seen, named = ask.errands.get("photographs"), ask.errands.get("named")
    shown = ask.brought("photographs") if album.pictures else None
    same = seen is not None and named is not None and named.args[0] == seen.args[0]
    asked = named.args[1] if named is not None and same else None
    labels: Mapping[int, str] = {} if asked is None else asked.kinds
    done = ask.brought("named") if same and shown is not None else None
    if done is not None:
        labels = done["labels"]
    return {
        "most": MOST,
        "pictures": [{"name": p.name, "size": p.size, "exposure": p.exposure} for p in album.pictures],
        "even_lens": album.even_lens,
        "stamp": album.stamp,
        "typed": "" if asked is None or done is not None else asked.typed,
        "levels": "" if asked is None else asked.levels,
        "distances": "" if asked is None else asked.distances,
        "seen": None if shown is None else {"props": _props(shown, labels, kinds), "cautions": shown["cautions"]},
        "done": None
        if done is None
        else done
        | {
            "kinds": _relative(done["kinds"], done["intensities_by"]),
            "at_full": all(min(row["duties"]) == 1.0 for row in done["kinds"]),
        },
    }


def _props(shown: Mapping[str, Any], labels: Mapping[int, str], kinds: list[str]) -> list[dict[str, Any]]:
    marks = {name: mark(i) for i, name in enumerate(kinds)} | {LEFT_OUT: LEFT_OUT}
    return [
        one | {"kind": labels.get(one["number"], ""), "letters": marks.get(labels.get(one["number"], ""), "")}
        for one in shown["props"]
    ]


def _relative(rows: list[dict[str, Any]], by: str | None) -> list[dict[str, Any]]:
    """Return kinds with their light as shares of the highest, since a photograph knows no absolute scale."""
    keys = {
        "relative_luminance": "luminance",
        "relative_intensity": "intensity_by_size" if by == "size" else "intensity",
        "relative_full": "full_luminance",
    }
    highest = {name: max((row[key] or 0.0 for row in rows), default=0.0) or 1.0 for name, key in keys.items()}
    return [
        row | {name: None if row[key] is None else row[key] / highest[name] for name, key in keys.items()}
        for row in rows
    ]


def _meter(ask: Ask, kinds: list[str]) -> dict[str, Any]:
    errand = ask.errands.get("metered")
    asked = None if errand is None else errand.args[0]
    return {
        "fields": [{"kind": name, "typed": "" if asked is None else asked.typed.get(name, "")} for name in kinds],
        "level": "" if asked is None else asked.level,
        "done": ask.brought("metered"),
    }


def wanted(form: Mapping[str, str]) -> tuple[tuple[Any, ...], str]:
    """Return the search for levels that match."""
    by = form.get("by", "")
    share, luminance, white = (form.get(name, "").strip()[:60] or None for name in ("share", "luminance", "white"))
    return (by if by in get_args(By) else None, share, luminance, white), "Looking for levels that match"


WANTED: dict[str, Wanted] = {"match": wanted}
