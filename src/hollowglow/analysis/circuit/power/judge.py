"""What the voltages and currents mean for the builder: findings about light, loads, fuses and supplies."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from hollowglow.analysis import edits
from hollowglow.analysis.circuit.power.dimming import Dimming
from hollowglow.analysis.circuit.power.more_voltage import MoreVoltage
from hollowglow.analysis.circuit.power.protection import FUSE_CODES, judge_fuses
from hollowglow.analysis.circuit.power.ratings import SLACK, over, part_ampacity, part_joint_rating
from hollowglow.analysis.circuit.power.result import Power
from hollowglow.analysis.circuit.power.supplies import joined_supplies
from hollowglow.assembly import Assembly
from hollowglow.assembly.ids import cable_ids, joint_ids, node_ids, owner, prop_ids
from hollowglow.assembly.tables import NONE, Flags, Floats, Ints
from hollowglow.file.text.commands import Put
from hollowglow.messages import Code, Finding, Mend
from hollowglow.messages.told import Fact
from hollowglow.quantity.quantities import current, share, voltage
from hollowglow.quantity.quantities import power as watts

CHARGE_LIMIT_A = 1e-6
CHARGE_LIMIT = 1e-9
ENERGY_LIMIT = 1e-6
_HOW = "where another feed comes from and which heavier cable is at hand only the builder knows"
_LIMITS = "the display's limits (common practice where none are stated)"
_CONTINUED = "continuation of the network's equations in the load"
LOW_VOLTAGE = Code(
    "low-voltage",
    "warn",
    "feed",
    "the light's lowest voltage (its part, or its current-voltage characteristic)",
    ("string", "bad", "props", "prop", "gets", "needs"),
    _HOW,
)
LIGHT_LOSS = Code(
    "light-loss", "warn", "feed", _LIMITS, ("limit", "bad", "props", "string", "prop", "light", "gets"), _HOW
)
CHROMATICITY_SHIFT = Code(
    "chromaticity-shift", "warn", "feed", _LIMITS, ("bad", "props", "string", "prop", "shift", "limit", "gets"), _HOW
)
SUPPLY_LOAD = Code(
    "supply-load",
    "warn",
    "feed",
    "common practice: continuous load at most 80 % of the rating",
    ("supply", "voltage", "delivers", "rating", "share"),
)
SUPPLY_OVER = Code("supply-over", "stop", "feed", "the supply's rating", SUPPLY_LOAD.facts)
CABLE_OVER = Code("cable-over", "stop", "feed", "the cable's ampacity", ("thing", "part", "carries", "allowed", "over"))
JOINT_OVER = Code(
    "joint-over",
    "stop",
    "feed",
    "the joint's rating",
    CABLE_OVER.facts,
    "where another feed comes from and which stronger joint is at hand only the builder knows",
)
NO_STEADY_STATE = Code(
    "no-steady-state", "stop", "feed", _CONTINUED, ("string", "node", "state", "fraction", "cutoff", "off"), _HOW
)
TWO_STEADY_STATES = Code("two-steady-states", "stop", "feed", _CONTINUED, ("string", "node", "upper", "lower"), _HOW)
NOT_SOLVED = Code(
    "not-solved",
    "stop",
    "feed",
    "charge and energy balance of every solution",
    ("string", "fraction", "point", "steps", "lights", "charge_error", "energy_error"),
    "which of the stated resistances and currents is the absurd one only the builder knows",
)
JOINED_SUPPLIES = Code(
    "joined-supplies",
    "stop",
    "feed",
    "common practice: one V+ per supply, V- common",
    ("supplies", "voltages", "strings"),
)
NO_POWER = Code("no-power", "stop", "feed", "the circuit as stated", ("string", "dark", "props"))
CODES = (
    LOW_VOLTAGE,
    LIGHT_LOSS,
    CHROMATICITY_SHIFT,
    SUPPLY_LOAD,
    SUPPLY_OVER,
    CABLE_OVER,
    JOINT_OVER,
    NO_STEADY_STATE,
    TWO_STEADY_STATES,
    NOT_SOLVED,
    JOINED_SUPPLIES,
    NO_POWER,
    *FUSE_CODES,
)


def judge(assembly: Assembly, power: Power) -> Iterator[Finding]:
    """Yield every finding about power."""
    yield from _solved(assembly, power)
    yield from _reach(assembly, power)
    yield from _light(assembly, power)
    dimming = Dimming(assembly, power)
    yield from _supplies(assembly, power, dimming)
    yield from _conductors(assembly, power, dimming)
    yield from judge_fuses(assembly, power)


def _strings_of(assembly: Assembly, rows: Ints) -> Iterator[tuple[int, Ints]]:
    """Yield (string, its loads among `rows`); `rows` rise, and so do the strings of loads."""
    if not len(rows):
        return
    owner = assembly.load_string[rows]
    strings, first = np.unique(owner, return_index=True)
    yield from zip(strings.tolist(), np.split(rows, first[1:]), strict=True)


def _props_of(assembly: Assembly, loads: Ints) -> list[str]:
    """Return the ids of the props whose loads these are, in order along the string."""
    return prop_ids(assembly, np.unique(assembly.load_prop[loads]))


def _first_node(assembly: Assembly, load: int) -> str:
    return node_ids(assembly, [int(np.searchsorted(assembly.nodes.load, load))])[0]


def _solved(assembly: Assembly, power: Power) -> Iterator[Finding]:
    seen: set[tuple[str, int]] = set()
    for verdict in power.verdicts:
        live = np.flatnonzero(power.alive)
        weakest = int(live[verdict.load])
        node = _first_node(assembly, weakest)
        string = owner(node)
        if (verdict.state, weakest) in seen:
            continue
        seen.add((verdict.state, weakest))
        if verdict.state == "two":
            yield TWO_STEADY_STATES.found(
                (string, node),
                {
                    "string": string,
                    "node": node,
                    "upper": voltage(verdict.upper_v),
                    "lower": voltage(verdict.lower_v),
                },
                [Mend("heavier-cable"), Mend("feed-again"), Mend("other-lights")],
            )
        elif verdict.state in ("fold", "cutoff"):
            cutoff = float(assembly.network.characteristics.cutoff_v[assembly.network.load_characteristic[weakest]])
            starts = verdict.fraction > 0.0
            yield NO_STEADY_STATE.found(
                (string, node),
                {
                    "string": string,
                    "node": node,
                    "state": verdict.state,
                    "fraction": share(verdict.fraction),
                    "cutoff": voltage(cutoff),
                    "off": verdict.off,
                },
                [Mend(sort) for sort in (_FED_BETTER if starts else ("other-supply", "other-lights"))],
            )
        else:
            yield _not_solved(string, (string, node), ("lower-levels", "feed-again"), fraction=share(verdict.fraction))
    points = [("mean", power.mean), ("coincident", power.coincident)]
    for name, point in points[:1] if power.mean is power.coincident else points:
        for row, loads in _strings_of(assembly, point.unsolved):
            stated = assembly.strings.names[row]
            yield _not_solved(stated, (stated,), ("check",), point=name, steps=point.steps, lights=len(loads))
        limit = CHARGE_LIMIT_A + CHARGE_LIMIT * float(np.nansum(np.abs(point.supply_a)))
        if not (point.charge_error_a < limit and point.energy_error < ENERGY_LIMIT):
            errors = {"charge_error": float(point.charge_error_a), "energy_error": float(point.energy_error)}
            yield _not_solved(None, ("network",), ("check",), point=name, **errors)


_FED_BETTER = ("feed-again", "heavier-cable", "fewer-lights")


def _not_solved(string: str | None, where: tuple[str, ...], mends: tuple[str, ...], **facts: Fact) -> Finding:
    """Return the finding of a curve that breaks off (`fraction`), of voltages without rest (`lights`), or of a sum."""
    return NOT_SOLVED.found(
        where, {**dict.fromkeys(NOT_SOLVED.facts), "string": string, **facts}, [Mend(sort) for sort in mends]
    )


def _reach(assembly: Assembly, power: Power) -> Iterator[Finding]:
    dark = np.flatnonzero(~power.alive)
    for string, loads in _strings_of(assembly, dark):
        props = _props_of(assembly, loads)
        name = assembly.strings.names[string]
        count = assembly.display.strings[name].prop_count
        yield NO_POWER.found(
            props,
            {"string": name, "dark": tuple(props), "props": count},
            _mends_of_dark(assembly, name),
        )
    for group in joined_supplies(assembly):
        names = [assembly.supplies[i] for i in group]
        strings = sorted(
            {n for n, s in assembly.display.strings.items() if {s.supply, *(f.supply for f in s.feeds)} & set(names)}
        )
        apart = [edit for n in strings for edit in _parted(assembly, n)]
        yield JOINED_SUPPLIES.found(
            names,
            {
                "supplies": tuple(names),
                "voltages": tuple(voltage(float(assembly.network.supply_v[i])) for i in group),
                "strings": tuple(strings),
            },
            [Mend("cut", edits=tuple(apart))],
        )


def _mends_of_dark(assembly: Assembly, name: str) -> Iterator[Mend]:
    """Yield the ways of bringing V+ to the first props of a string, those before its first cut."""
    string, supply = assembly.display.strings[name], next(iter(assembly.supplies), None)
    stated = (Put(("strings", name, "supply"), supply),) if supply and string.supply is None else ()
    yield Mend("supply", {"supply": supply}, stated)
    yield Mend("feed")
    cuts = [feed.before for feed in string.feeds if feed.cut]
    yield Mend("no-cut", edits=(edits.cut(assembly, name, min(cuts), False),) if cuts else ())


def _parted(assembly: Assembly, name: str) -> Iterator[Put]:
    """Yield a cut on every feed of a string that brings another supply than what is before it."""
    string = assembly.display.strings[name]
    before = string.supply
    for feed in sorted(string.feeds, key=lambda f: f.before):
        if before is not None and feed.supply != before and not feed.cut:
            yield edits.cut(assembly, name, feed.before)
        before = feed.supply


def _light(assembly: Assembly, power: Power) -> Iterator[Finding]:
    limits = assembly.display.limits
    characteristic = assembly.network.load_characteristic
    lit = (assembly.network.duty[characteristic] > 0.0).any(axis=1) & power.alive
    more = MoreVoltage(assembly, power)
    lowest = (
        assembly.kinds.lowest_v[characteristic]
        if limits.lowest_voltage is None
        else np.full(len(characteristic), limits.lowest_voltage)
    )
    for string, worst, bad in _bad_strings(
        assembly, lit & (power.coincident_v < lowest - 1e-9), lowest - power.coincident_v
    ):
        prop, load = str(bad["prop"]), int(worst[0])
        yield LOW_VOLTAGE.found(
            (string, prop),
            {**bad, "gets": voltage(float(power.coincident_v[load])), "needs": voltage(float(lowest[load]))},
            more.for_the_lowest(prop, float(lowest[load])),
        )
    loss = 1.0 - power.light
    for string, worst, bad in _bad_strings(assembly, lit & (loss > limits.light_loss), loss):
        prop, load = str(bad["prop"]), int(worst[0])
        yield LIGHT_LOSS.found(
            (string, prop),
            {
                **bad,
                "limit": share(limits.light_loss),
                "light": share(float(power.light[load])),
                "gets": voltage(float(power.across_v[load])),
            },
            more.for_the_light(load, prop, lambda change: 1.0 - change.light, limits.light_loss),
        )
    for string, worst, bad in _bad_strings(
        assembly, lit & (power.chromaticity_shift > limits.chromaticity_shift), power.chromaticity_shift
    ):
        prop, load = str(bad["prop"]), int(worst[0])
        yield CHROMATICITY_SHIFT.found(
            (string, prop),
            {
                **bad,
                "shift": float(power.chromaticity_shift[load]),
                "limit": limits.chromaticity_shift,
                "gets": voltage(float(power.across_v[load])),
            },
            more.for_the_light(load, prop, lambda change: change.chromaticity_shift, limits.chromaticity_shift),
        )


def _bad_strings(assembly: Assembly, bad: Flags, badness: Floats) -> Iterator[tuple[str, Ints, dict[str, Fact]]]:
    """Yield (string, its worst load, what is told of both) for every string that has bad loads."""
    for row, loads in _strings_of(assembly, np.flatnonzero(bad)):
        name = assembly.strings.names[row]
        worst = loads[np.argsort(-badness[loads], kind="stable")][:1]
        count, props = len(np.unique(assembly.load_prop[loads])), assembly.display.strings[name].prop_count
        yield name, worst, {"string": name, "bad": count, "props": props, "prop": _props_of(assembly, worst)[0]}


def _supplies(assembly: Assembly, power: Power, dimming: Dimming) -> Iterator[Finding]:
    limit = assembly.display.limits.supply_load
    drawn = assembly.network.supply_v * power.mean.supply_a
    for i, name in enumerate(assembly.supplies):
        rating, here = float(assembly.supply_rating_w[i]), float(drawn[i])
        if not over(here, limit * rating):
            continue
        need = float(np.ceil(here / limit / 5.0 * (1.0 - 0.5 * SLACK)) * 5.0)
        # What a part of the catalogue is rated for is not the builder's to state.
        own = assembly.display.supplies[name].part is None
        larger = (edits.put(("supplies", name, "rating"), watts(need)),) if own else ()
        yield (SUPPLY_OVER if over(here, rating) else SUPPLY_LOAD).found(
            (name,),
            {
                "supply": name,
                "voltage": voltage(float(assembly.network.supply_v[i])),
                "delivers": watts(here),
                "rating": watts(rating),
                "share": share(here / rating),
            },
            [
                Mend("larger-supply", {"need": watts(need)}, larger),
                Mend("move-string"),
                *dimming.for_supply(i, limit * rating),
            ],
        )


def _edge_current(power: Power) -> Floats:
    return np.maximum(np.abs(power.mean.edge_plus_a), np.abs(power.mean.edge_minus_a))


def _conductors(assembly: Assembly, power: Power, dimming: Dimming) -> Iterator[Finding]:
    carried = _edge_current(power)
    ampacity, why = part_ampacity(assembly)
    cables, joints = assembly.cables, assembly.joints
    for table, rated, code in (
        (cables, ampacity, CABLE_OVER),
        (joints, part_joint_rating(assembly), JOINT_OVER),
    ):
        flows = np.where(table.edge == NONE, 0.0, carried[table.edge])
        allowed = rated[table.part]
        bad = np.flatnonzero(over(flows, allowed))
        keys = table.string[bad] * len(assembly.parts) + table.part[bad]
        for key in np.unique(keys):
            rows = bad[keys == key]
            worst = int(rows[np.argmax(flows[rows])])
            ids = (cable_ids if code is CABLE_OVER else joint_ids)(assembly, [worst])
            string, part = int(table.string[worst]), int(table.part[worst])
            here, most = float(flows[worst]), float(allowed[worst])
            yield code.found(
                ids,
                {
                    "thing": ids[0],
                    "part": assembly.parts[part],
                    "carries": current(here),
                    "allowed": current(most),
                    "over": len(rows),
                },
                [
                    Mend("heavier-part", {"need": current(here)}),
                    Mend("feed-again"),
                    *(dimming.for_cable(string, part, most) if code is CABLE_OVER else ()),
                ],
                why[part] if code is CABLE_OVER else None,
            )
