"""Power: single-line diagrams, mains circuits, the numbers of Class 2, dead shorts."""

from __future__ import annotations

import math
from collections.abc import Iterator

from hollowglow.book.page_data import BookSource, Row
from hollowglow.quantity.words import amps, percent, volts, watts
from hollowglow.view.pictures.circuit import line_diagram, powered_by


def wiring(source: BookSource) -> Row:
    """Return the sheets of the supplies and what is known of the mains side."""
    plan = source.plan
    assembly = plan.assembly
    return {
        "supplies": [
            {
                "name": name,
                "picture": source.picture(line_diagram(plan, row, source.measures.units)),
                "marks": source.marks(name, *(assembly.strings.names[string] for string in powered_by(plan, name))),
            }
            for row, name in enumerate(assembly.supplies)
            if powered_by(plan, name)
        ],
        "idle": list(_idle(source)),
        "mains": _mains(source),
        "class2": [
            {
                "name": one.id,
                "rating": f"{watts(one.power_w)} at {volts(one.voltage_v)}",
                "limit": f"{watts(one.most_w)}, {amps(one.most_a)}",
                "words": "within the numbers" if one.within else "beyond the numbers",
            }
            for one in plan.class2
            if one.what == "supply"
        ],
    }


def _idle(source: BookSource) -> Iterator[Row]:
    """Yield the supplies that power no string, so that no diagram is theirs."""
    for name in source.plan.assembly.supplies:
        if not powered_by(source.plan, name):
            yield {"name": name, "words": f"Nothing is fed from {name}.", "marks": source.marks(name)}


def _or_dash(value: float | None, unit: str = "A") -> str:
    if value is None or not math.isfinite(value):
        return "-"
    return amps(value) if unit == "A" else percent(value) if unit == "%" else watts(value)


def _mains(source: BookSource) -> list[Row]:
    made = source.plan.mains
    return [
        {
            "name": one.name,
            "supplies": ", ".join(one.supplies),
            "voltage": "-" if one.voltage_v is None else f"{one.voltage_v:g} V",
            "breaker": _or_dash(one.breaker_a),
            "current": _or_dash(one.current_a),
            "share": _or_dash(one.load_fraction, "%"),
            "leakage": _or_dash(one.leakage_a),
            "inrush": _or_dash(one.inrush_a),
            "order": ", then ".join(" + ".join(group) for group in one.groups) or "-",
        }
        for one in (made.circuits if made.stated else ())
    ]
