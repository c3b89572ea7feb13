"""The room where a prop is designed: its section and its glow, what may be changed about it, what else could be inside."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, get_args

from hollowglow.assembly.ids import owner
from hollowglow.file.model.kind import Arrangement
from hollowglow.jobs.start.parts import parts_of
from hollowglow.view.rows.kind_table import kind_rows

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from hollowglow.plan import Plan
from hollowglow.web.page.mends import WAYS
from hollowglow.web.page.rooms import Ask, Wanted

HANGS = ("tip down", "tip up", "on its side")
BEST = 10
PREFERENCES = ("light", "uniformity", "cost", "work")


def view(plan: Plan, ask: Ask) -> dict[str, Any]:
    """Return one kind's numbers, its fields and sliders, its findings, and the comparison that was asked for."""
    names = list(plan.assembly.kinds.names)
    asked = ask.query.get("kind", "")
    kind = asked if asked in names else names[0]
    stated = plan.assembly.display.kinds[kind]
    made = ask.brought("fill")
    return {
        "kinds": names,
        "kind": kind,
        "about": stated.about,
        "missing": asked if asked and asked not in names else "",
        "lit": plan.optics.kinds[names.index(kind)] is not None,
        "shell": stated.shell is not None,
        "numbers": next((row for row in kind_rows(plan) if row["kind"] == kind), None),
        "fields": _fields(plan, kind),
        "sliders": _sliders(plan, kind),
        "findings": [
            {
                "severity": f.severity,
                "message": f.message,
                "mend": f.mend_told(ways=WAYS),
                "basis": f.basis,
                "mended": "",
            }
            for f in plan.findings
            if kind in {owner(where) for where in f.where}
        ],
        "comparison": made if made is not None and made["kind"] == kind else None,
        "best": BEST,
        "preview": _preview(ask, kind),
        "preferences": PREFERENCES,
    }


def _preview(ask: Ask, kind: str) -> dict[str, Any] | None:
    errand, data = ask.errands.get("preview"), ask.brought("preview")
    if errand is None or data is None or errand.args[0] != kind or not errand.args[1]:
        return None
    return data | {"changes": [one.words() for one in errand.args[1]]}


def wanted(form: Mapping[str, str]) -> tuple[tuple[Any, ...], str]:
    """Return the comparison of what could go inside a kind."""
    kind, prefer = form.get("kind", ""), form.get("prefer", "")
    title = f"Comparing what could go inside {kind}"
    return (kind, prefer if prefer in PREFERENCES else None), title


def _fields(plan: Plan, kind: str) -> list[dict[str, Any]]:
    stated = plan.assembly.display.kinds[kind]
    root = ["kinds", kind]
    display = plan.assembly.display
    lights, hooks = parts_of("light", display), parts_of("hook", display)
    fields: list[dict[str, Any]] = []
    if stated.shell is not None:
        fields += [
            {"label": f"Shell, {measure}", "path": [*root, "shell", measure], "choices": []}
            for measure in stated.shell.lengths
        ]
        fields.append({"label": "Shell, wall", "path": [*root, "shell", "wall"], "choices": []})
    more: tuple[tuple[str, tuple[str, ...], Sequence[str]], ...] = (
        ("Light", ("fill", "light"), lights),
        ("Arrangement", ("fill", "arrangement"), get_args(Arrangement)),
        ("Stand-off from the floor", ("fill", "stand_off"), ()),
        ("Hangs", ("hangs",), HANGS),
        ("Hook", ("hook",), hooks),
    )
    return fields + [
        {"label": label, "path": [*root, *keys], "choices": list(choices)} for label, keys, choices in more
    ]


def _sliders(plan: Plan, kind: str) -> list[dict[str, Any]]:
    stated = plan.assembly.display.kinds[kind]
    root = ["kinds", kind]
    sliders: list[dict[str, Any]] = [
        {
            "label": "Lights inside",
            "path": [*root, "fill", "count"],
            "low": 1,
            "high": 12,
            "step": 1,
            "now": stated.fill.count,
        }
    ]
    if stated.shell is not None:
        through, back = stated.shell.optics
        for label, key, now in (
            ("Let through by the wall", "transmittance", through),
            ("Sent back inside", "reflectance", back),
        ):
            sliders.append(
                {
                    "label": label,
                    "path": [*root, "shell", key],
                    "low": 0.05,
                    "high": 0.9,
                    "step": 0.01,
                    "now": round(now, 3),
                }
            )
    return sliders


WANTED: dict[str, Wanted] = {"fill": wanted}
