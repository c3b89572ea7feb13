"""Every default that a plan leans on is said, with the value that is used."""

# ruff: noqa: E501 - the list of keys reads best in few lines

from __future__ import annotations

import types
import typing
from collections.abc import Iterator
from typing import Any

import pytest

from hollowglow.file import load_text
from hollowglow.file.model.display import Display, Labour
from hollowglow.file.model.fields import Frozen
from hollowglow.file.reading.assumptions import assumptions
from hollowglow.file.reading.equal_defaults import grouped
from tests.file.jetty import FILE, JETTY, jetty

BARE = """\
display: Bare
supplies:
  shed: {voltage: 12 V, rating: 100 W}
controllers:
  box: {outputs: 1}
parts:
  spark:
    light: {emitters: 1, load: {class: constant-current, current: [18 mA, 18 mA, 18 mA], turn_on: [2 V, 3 V, 3 V], saturation: 0.6 V}}
  wire: {cable: {size: 20 AWG}}
  knot: {joint: {resistance: 5 mohm}}
  blow: {fuse: {rating: 5 A}}
  brick: {supply: {voltage: 12 V, rating: 60 W}}
kinds:
  one: {fill: {light: spark}, gland: {part: gland-pg7}}
  five: {fill: {light: spark, count: 5, wiring: {length: 0.1 m}}, pigtail: {length: 0.1 m}}
  six: {fill: {light: spark, count: 6}, pigtail: {cable: wire, length: 0.1 m}}
  orb:
    shell: {shape: sphere, diameter: 90 mm, switch: {diameter: 12 mm}}
    carrier: {shape: disc, diameter: 60 mm}
    fill: {light: spark}
    gland: {part: gland-pg7}
  tub: {shell: {shape: cylinder, diameter: 90 mm, height: 90 mm}, fill: {light: spark, positions: [[0 mm, 0 mm, 40 mm]]}}
strings:
  rail:
    output: box/1
    props: [one, five, six]
    lead: {length: 4 m}
    span: {length: 1 m}
    feeds: [{before: 1, supply: hut, length: 1 m, joint: knot, fuse: blow}, {before: 2, supply: shed, length: 1 m}]
"""
BARE = BARE.replace("supplies:\n", "supplies:\n  hut: {part: brick}\n  fold: {part: brick, limit: foldback}\n")
BARE += "mains:\n  porch: {voltage: 230 V, breaker: 16 A}\n"

# Keys that may be left out without anything being assumed: nothing is computed from them, or
# what they would add is simply not there.
NOTHING_ASSUMED = {
    "about", "source", "basis", "price", "mass", "supplies", "controllers", "parts", "kinds", "strings", "levels", "trims", "limits",
    "labour", "tolerances", "part", "supply", "feeds", "span", "extension", "length", "size", "plug", "mating", "hook", "gland", "shell", "height",
    "width", "depth", "diameter", "profile", "thread_diameter", "pitch", "metal",
    "unit", "light", "cable (part)", "joint (part)", "fuse (part)", "consumable", "class", "data", "rating (supply)", "voltage (supply)",
    "resistance (cable)", "mains", "season", "extends", "carrier", "switch", "batteries", "positions", "drain",
    "feeding", "detour", "reserve",  # said where feeds are planned
    "place", "plane", "slack",  # said where anything has a place
    "at", "backdrop", "line", "start", "points", "moved", "sag", "corners",
    "spares", "packing", "failures", "chance", "controller", "padding",
    "cable (spares)", "joint (spares)", "fuse (spares)",  # said where spares and boxes are planned
}  # fmt: skip


def models(kind: Any, seen: set[Any]) -> Iterator[type[Frozen]]:
    """Every model that a display file is made of."""
    if isinstance(kind, type) and issubclass(kind, Frozen):
        if kind not in seen:
            seen.add(kind)
            yield kind
            for field in kind.model_fields.values():
                yield from models(field.annotation, seen)
    elif typing.get_origin(kind) is not None or isinstance(kind, types.UnionType):
        for inner in typing.get_args(kind):
            yield from models(inner, seen)


def said(text: str) -> dict[str, str]:
    return {a.where: a.value for a in assumptions(load_text(text, FILE))}


def test_every_key_with_a_default_is_assumed_aloud_or_known_to_assume_nothing() -> None:
    told = {where.rpartition(".")[2] for where in said(BARE)}
    optional = {
        (field.alias or name, kind.__name__)
        for kind in models(Display, set())
        for name, field in kind.model_fields.items()
        if not field.is_required()
    }
    silent = {
        f"{key} of {kind}"
        for key, kind in optional
        if key not in told | NOTHING_ASSUMED and f"{key} ({kind.lower()})" not in NOTHING_ASSUMED
    }
    assert not silent


def test_the_values_said_are_the_values_used() -> None:
    told = said(BARE)
    assert told["ambient"] == "20 degC"
    assert told["limits.light_loss"] == "10 %"
    assert told["limits.chromaticity_shift"] == "0.006"
    assert told["limits.supply_load"] == "80 %"
    assert told["limits.fuse_load"] == "75 %"
    assert told["supplies.shed.resistance"] == "0 ohm"
    assert told["supplies.shed.limit"] == "hiccup"
    assert told["supplies.shed.limit_current"] == "130 % of its rated current"
    assert told["supplies.shed.limit_on"] == "200 ms"
    assert told["supplies.shed.limit_off"] == "2 s"
    assert told["supplies.fold.limit_at_zero"] == "40 %"
    assert told["supplies.shed.efficiency"] == "0.87"
    assert told["supplies.shed.power_factor"] == "0.6"
    assert told["supplies.shed.leakage"] == "0.75 mA"
    assert told["mains.porch.curve"] == "B"
    assert told["season.hours"] == "5 h"
    assert told["controllers.box.nodes_per_output"] == "600"
    assert told["controllers.box.rate"] == "40 Hz"
    assert told["controllers.box.first_universe"] == "1"
    assert told["controllers.box.gangs"] == "false"
    assert told["controllers.box.each_output"] == "next slot"
    assert told["kinds.one.fill.count"] == "1"
    assert told["kinds.one.pigtail"] == "none"
    assert told["kinds.one.gland.count"] == "1"
    assert told["kinds.five.fill.gang"] == "true"
    assert told["kinds.five.fill.wiring.cable"] == "cable-3x18awg"
    assert told["kinds.five.pigtail.cable"] == "cable-3x18awg"
    assert told["viewing"] == "10 m"
    assert told["kinds.orb.shell.transmittance"] == told["kinds.orb.shell.reflectance"] == "0.45"
    assert told["kinds.orb.shell.wall"] == "2 mm"
    assert told["kinds.orb.shell.switch.depth"] == "15 mm"
    assert told["kinds.orb.carrier.thickness"] == "3 mm"
    assert told["kinds.orb.carrier.reflectance"] == "0.8"
    assert told["kinds.orb.fill.stand_off"] == "10 mm"
    assert told["kinds.orb.fill.fit"] == "0.2 mm"
    assert told["kinds.orb.hangs"] == "tip down"
    assert told["kinds.orb.drain.diameter"] == "4 mm"
    assert told["kinds.tub.fill.axes"] == "outward"
    assert told["parts.spark.light.beam"] == "120 deg"
    assert told["parts.spark.light.pwm"] == "400 Hz"
    assert told["levels.five"] == "100 %"
    assert told["strings.rail.lead.cable"] == "cable-3x18awg"
    assert told["strings.rail.span.joint"] == "none"
    assert told["strings.rail.fuse"] == "none"
    assert told["strings.rail.feeds[2].cut"] == "false"
    assert told["parts.spark.light.voltage"] == "that of the string's supply"
    assert told["parts.spark.light.data.bit_time"] == "1.25 us"
    assert told["parts.spark.light.data.reset"] == "300 us"
    assert told["parts.spark.light.load.idle"] == "0 A"
    assert told["parts.wire.cable.strand"] == "stranded"
    assert told["parts.knot.joint.sort"] == "splice"
    assert told["parts.blow.fuse.resistance"] == "0 ohm"
    assert told["parts.brick.supply.resistance"] == "0 ohm"


@pytest.mark.parametrize("key", [name for name in Labour.model_fields if name != "hour"])
def test_every_minute_of_work_is_said_as_it_is_reckoned(key: str) -> None:
    number, unit = said(BARE)[f"labour.{key}"].split()
    assert float(number) * {"min": 60.0, "s": 1.0}[unit] == pytest.approx(getattr(Labour(), key))


def test_stating_one_key_of_a_table_leaves_its_other_defaults_said() -> None:
    told = said(BARE + "labour: {splice: 5 min}\nlimits: {light_loss: 20 %}\nambient: 5 degC\n")
    assert "labour.splice" not in told
    assert told["labour.plug"] == "20 s"
    assert told["labour.hour"] == "0"
    assert "limits.light_loss" not in told
    assert "limits.fuse_load" in told
    assert "ambient" not in told


def test_what_the_example_states_is_not_assumed() -> None:
    told = said(JETTY)
    for where in ("ambient", "levels.float", "supplies.shed.resistance", "controllers.box.gangs", "strings.rail.fuse",
                  "strings.rail.span.joint", "kinds.float.fill.gang", "strings.rail.feeds[1].cut"):  # fmt: skip
        assert where not in told
    assert "parts.test-constant-power.light.voltage" not in told  # no prop uses it


MANY = """\
display: Many
supplies: {shed: {voltage: 12 V, rating: 100 W}}
controllers: {box: {outputs: 1}}
kinds:
  plain: {fill: {light: bullet-12mm-12v, count: 2}}
  dotted.name: {fill: {light: bullet-12mm-12v, count: 2}, pigtail: {length: 0.1 m}}
  dotted: {fill: {light: bullet-12mm-12v, count: 2, gang: true}}
strings:
  rail:
    output: box/1
    supply: shed
    props: [plain, dotted.name, dotted]
    lead: {length: 4 m}
    span: {length: 1 m}
    feeds:
      - {before: 2, supply: shed, length: 1 m, fuse: 1 A, cut: true}
      - {before: 3, supply: shed, length: 1 m, cut: true}
"""


def test_equal_defaults_stand_together_with_the_names_of_those_that_lean_on_them() -> None:
    groups = {g.where: g for g in grouped(load_text(MANY, FILE))}
    assert groups["kinds.*.fill.gang"].names == ("plain", "dotted.name")
    assert groups["kinds.*.fill.wiring"].names == ("plain", "dotted.name", "dotted")
    assert groups["kinds.*.pigtail"].names == ("plain", "dotted")
    assert groups["kinds.dotted.name.pigtail.cable"].names == ("dotted.name",)
    assert groups["levels.*"].names == ("plain", "dotted.name", "dotted")
    assert groups["strings.*.feeds[*].joint"].names == ("rail[1]", "rail[2]")
    assert groups["strings.rail.feeds[2].fuse"].names == ("rail[2]",)
    assert groups["ambient"].names == ("",)


@pytest.mark.parametrize("text", [BARE, MANY, JETTY])
def test_the_groups_hold_every_default_once(text: str) -> None:
    display = load_text(text, FILE)
    one_by_one = sorted((a.where, a.value, a.reason) for a in assumptions(display))
    spelled = []
    for group in grouped(display):
        for name in group.names:
            entry, bracket, number = name.partition("[")
            where = group.where.replace("*", entry, 1).replace("feeds[*]", f"feeds[{number}" if bracket else "feeds[*]")
            spelled.append((where, group.value, group.reason))
    assert sorted(spelled) == one_by_one


def test_what_differs_in_value_or_meaning_is_not_thrown_together() -> None:
    parts = (
        "parts: {knot: {joint: {resistance: 1 mohm}}, a: {cable: {size: 20 AWG}}, b: {cable: {resistance: 1 mohm/m}}}"
    )
    text = MANY.replace("supplies:", parts + "\nsupplies:", 1).replace("span: {", "span: {cable: a, joint: knot, ")
    text = text.replace("lead: {", "lead: {cable: b, ")
    groups = [(g.where, g.value) for g in grouped(load_text(text, FILE)) if g.where.endswith(".ampacity")]
    assert ("parts.b.cable.ampacity", "none") in groups
    assert not any(where == "parts.*.cable.ampacity" and value == "none" for where, value in groups)


def test_each_assumption_stands_once_with_a_reason() -> None:
    two = jetty(("kinds:", "kinds:\n  other: {fill: {light: test-constant-current}}"))
    taken = list(assumptions(load_text(two, FILE)))
    assert len({a.where for a in taken}) == len(taken)
    assert all(a.value and a.reason for a in taken)
