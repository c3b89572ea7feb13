"""One row for each kind: what one prop of it holds, the light that it gives, what it draws, costs and takes to build."""

from __future__ import annotations

from typing import Any

import numpy as np

from hollowglow.analysis.money.cost import minutes_per_prop, prop_bill
from hollowglow.analysis.prop.optics import KindLight, polar_curve
from hollowglow.assembly.tables import Floats
from hollowglow.plan import Plan
from hollowglow.quantity.numbers import plain
from hollowglow.view.rows.making_rows import making_row

_POLAR_STEP_DEG = 10.0


def kind_rows(plan: Plan) -> list[dict[str, Any]]:
    """Return the rows of the table of kinds.

    Light and power are those of one prop at full white and the kind's level, light at nominal voltage, power as the
    voltages of the display have it, averaged over the props.
    """
    assembly = plan.assembly
    table = assembly.kinds
    props = np.bincount(assembly.props.kind, minlength=len(table.names))
    power = power_per_prop(plan)
    minutes = minutes_per_prop(assembly)
    rows = []
    for i, name in enumerate(table.names):
        level = assembly.display.level(name)
        row: dict[str, Any] = {
            "kind": name,
            "props": int(props[i]),
            "light": table.lights[i],
            "emitters": int(table.nodes[i] * table.emitters[i]),
            "nodes": int(table.nodes[i]),
            "cells": 1 if table.ganged[i] else int(table.nodes[i]),
            "level": level,
            "measured": _measured(plan, i),
        }
        row |= _light(plan.optics.kinds[i], table.flux_lm[i] * table.nodes[i], assembly.network.duty[i])
        row |= {
            "power": plain(power[i]),
            "cost": prop_bill(assembly, name).total,
            "minutes": plain(minutes[i]),
        }
        row |= making_row(plan.making.kinds[i])
        rows.append(row)
    return rows


def _measured(plan: Plan, row: int) -> float | None:
    """Return by what readings multiplied the luminance of a kind, None where its light is as computed."""
    one = plan.optics.measured[row] if plan.optics.measured else None
    return None if one is None else plain(one.luminance)


_PLAIN_KEYS = (
    "kind", "props", "light", "emitters", "nodes", "cells", "level", "measured", "flux_in", "flux_out", "light_output_ratio",
    "mean_luminance", "peak_luminance", "uniformity", "luminance_ratio", "hot_spot", "intensity", "power", "cost", "minutes",
    "web", "mass_before", "mass_after", "hook_load", "switch_stays",
)  # fmt: skip
_HOLES = ("where", "use", "diameter", "drill_metric", "drill_inch", "number", "u", "v", "point")
_STEPS = ("step", "how", "parts", "tools", "minutes")


def kinds(plan: Plan) -> dict[str, list[Any]]:
    """Return the table of kinds without what is a list in it."""
    rows = kind_rows(plan)
    return {key: [row[key] for row in rows] for key in _PLAIN_KEYS}


def holes(plan: Plan) -> dict[str, list[Any]]:
    """Return every hole of one prop of each kind."""
    return _listed(plan, "holes", _HOLES)


def steps(plan: Plan) -> dict[str, list[Any]]:
    """Return how one prop of each kind is built, step by step."""
    return _listed(plan, "steps", _STEPS)


def _listed(plan: Plan, key: str, columns: tuple[str, ...]) -> dict[str, list[Any]]:
    rows = [{"kind": made.name} | row for made in plan.making.kinds for row in making_row(made)[key]]
    return {column: [row[column] for row in rows] for column in ("kind", *columns)}


def _light(kind: KindLight | None, bare_lm: Floats, duties: Floats) -> dict[str, Any]:
    """Return what a kind gives at a duty of each colour; of one without a computed shell only what its lights give."""
    if kind is None:
        return {
            "flux_in": plain(float(bare_lm @ duties)),
            **dict.fromkeys(
                ("flux_out", "flux_in_by_colour", "flux_out_by_colour", "light_output_ratio", "mean_luminance",
                 "peak_luminance", "uniformity", "luminance_ratio", "hot_spot", "intensity", "polar")
            ),
        }  # fmt: skip
    glow, seen = kind.glow, kind.settled.appearance
    duty = duties[: len(kind.mean_cd_m2)]
    # Colours are spread alike enough over the wall that the brightest spot follows the mean.
    dimmed = float(kind.mean_cd_m2 @ duty) / float(kind.mean_cd_m2.sum())
    angle, around = polar_curve(glow, step_deg=_POLAR_STEP_DEG)
    return {
        "flux_in": plain(float(glow.flux_in_lm @ duty)),
        "flux_out": plain(float(glow.flux_out_lm @ duty)),
        "flux_in_by_colour": [plain(f) for f in (glow.flux_in_lm * duty).tolist()],
        "flux_out_by_colour": [plain(f) for f in (glow.flux_out_lm * duty).tolist()],
        "light_output_ratio": plain(glow.light_output_ratio),
        "mean_luminance": plain(float(kind.mean_cd_m2 @ duty)),
        "peak_luminance": plain(dimmed * seen.peak_cd_m2),
        "uniformity": plain(seen.uniformity),
        "luminance_ratio": plain(seen.spread),
        "hot_spot": plain(seen.hot_spot),
        "intensity": plain(float(kind.intensity_cd @ duty)),
        "polar": [
            {"angle": a, "intensity": plain(dimmed * i)} for a, i in zip(angle.tolist(), around.tolist(), strict=True)
        ],
    }


def power_per_prop(plan: Plan) -> Floats:
    """Return the mean power of one prop of each kind at full white and the levels of the file, W, shape (kinds,).

    NaN for a kind of which no prop has a steady voltage.
    """
    assembly, network = plan.assembly, plan.assembly.network
    drawn = network.load_count * plan.power.across_v * plan.power.mean.load_a
    by_prop = np.bincount(assembly.load_prop, weights=drawn, minlength=len(assembly.props.kind))
    known = np.isfinite(by_prop)
    kinds = len(assembly.kinds.names)
    total = np.bincount(assembly.props.kind[known], weights=by_prop[known], minlength=kinds)
    count = np.bincount(assembly.props.kind[known], minlength=kinds)
    mean: Floats = np.divide(total, count, out=np.full(kinds, np.nan), where=count > 0)
    return mean
