"""Small displays in the documented form, with the few changes that a test is about."""

from __future__ import annotations

import copy
from typing import Any

from hollowglow.assembly import Assembly, expand
from hollowglow.assembly.ids import cable_ids, fuse_ids, joint_ids
from hollowglow.file import load_text
from hollowglow.plan import Plan, make_plan
from tests.outside.displays import dump

Stated = dict[str, Any]

# The worked light of the display file's documentation.
CONSTANT_CURRENT: Stated = {
    "class": "constant-current",
    "current": ["18.5 mA", "18.5 mA", "18.5 mA"],
    "turn_on": ["2.0 V", "3.0 V", "3.1 V"],
    "saturation": "0.6 V",
    "idle": "1 mA",
}
CONSTANT_POWER: Stated = {
    "class": "constant-power",
    "power": ["0.10 W", "0.12 W", "0.12 W"],
    "efficiency": 0.85,
    "cutoff": "7 V",
    "idle": "1 mA",
}
RESISTOR: Stated = {
    "class": "resistor",
    "series": 3,
    "parallel": 3,
    "forward": ["2.0 V", "3.0 V", "3.1 V"],
    "resistor": ["330 ohm", "150 ohm", "150 ohm"],
    "idle": "1 mA",
}


def stated(
    load: Stated = CONSTANT_CURRENT,
    *,
    props: str | list[str] = "12 * float",
    fill: Stated | None = None,
    kind: Stated | None = None,
    string: Stated | None = None,
    supply: Stated | None = None,
    parts: Stated | None = None,
    **top: Any,
) -> Stated:
    """One string `rail` of `float`s; what is given is laid over the plain values below it.

    The plain cable has 0.05 ohm/m and no size, so that it brings no ampacity of its own.
    """
    display: Stated = {
        "display": "By hand",
        "supplies": {"shed": {"voltage": "12 V", "rating": "100 W", "resistance": "0 ohm", **(supply or {})}},
        "controllers": {"box": {"outputs": 4, "nodes_per_output": 600, "rate": "40 Hz", "gangs": True}},
        "parts": {
            "light": {"light": {"emitters": 1, "load": load}},
            "wire": {"cable": {"cores": 3, "resistance": "0.05 ohm/m"}},
            "splice": {"joint": {"resistance": "5 mohm"}},
            **(parts or {}),
        },
        "kinds": {"float": {"fill": {"light": "light", **(fill or {})}, **(kind or {})}},
        "strings": {
            "rail": {
                "output": "box/1",
                "supply": "shed",
                "props": props,
                "lead": {"cable": "wire", "length": "1 m"},
                "span": {"cable": "wire", "length": "1 m"},
                **(string or {}),
            }
        },
    }
    return {**copy.deepcopy(display), **copy.deepcopy(top)}


def changed(display: Stated, path: str, value: Any) -> Stated:
    """The display with one entry replaced: "strings.rail.fuse"; a number counts into a list; None takes it out."""
    made = copy.deepcopy(display)
    here: Any = made
    *way, last = path.split(".")
    for key in way:
        here = here[int(key)] if isinstance(here, list) else here.setdefault(key, {})
    if value is None:
        del here[last]
    else:
        here[int(last) if isinstance(here, list) else last] = value
    return made


def built(display: Stated) -> Assembly:
    """The display expanded."""
    return expand(load_text(dump(display)))


def planned(display: Stated) -> Plan:
    """The display's whole plan."""
    return make_plan(load_text(dump(display)))


def cables_of(assembly: Assembly) -> dict[str, int]:
    """Row of every cable by its id."""
    return {name: row for row, name in enumerate(cable_ids(assembly))}


def joints_of(assembly: Assembly) -> dict[str, int]:
    """Row of every joint by its id."""
    return {name: row for row, name in enumerate(joint_ids(assembly))}


def fuses_of(assembly: Assembly) -> dict[str, int]:
    """Row of every fuse by its id."""
    return {name: row for row, name in enumerate(fuse_ids(assembly))}
