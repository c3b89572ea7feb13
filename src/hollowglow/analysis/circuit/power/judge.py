"""What the voltages and currents mean for the builder: findings about light, loads, fuses and supplies."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from hollowglow.analysis.circuit.power.dimming import Dimming
from hollowglow.analysis.circuit.power.more_voltage import MoreVoltage
from hollowglow.analysis.circuit.power.protection import judge_fuses
from hollowglow.analysis.circuit.power.ratings import SLACK, over, part_ampacity, part_joint_rating
from hollowglow.analysis.circuit.power.result import Power
from hollowglow.analysis.circuit.power.supplies import joined_supplies
from hollowglow.assembly import Assembly
from hollowglow.assembly.ids import cable_ids, joint_ids, node_ids, owner, prop_ids
from hollowglow.assembly.tables import NONE, Flags, Floats, Ints
from hollowglow.messages import Finding, finding
from hollowglow.quantity.words import amps, at_least, percent, several, volts, watts

CHARGE_LIMIT_A = 1e-6
CHARGE_LIMIT = 1e-9
ENERGY_LIMIT = 1e-6


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
            yield finding(
                "two-steady-states",
                (string, node),
                f"At full load {node} can rest at {volts(verdict.upper_v)} or at {volts(verdict.lower_v)}, both above its "
                "driver's cutoff, and its string with it.",
                "Use heavier cable or another feed on this string, or lights with a higher cutoff.",
            )
        elif verdict.state in ("fold", "cutoff"):
            cutoff = float(assembly.network.characteristics.cutoff_v[assembly.network.load_characteristic[weakest]])
            rest = f" The voltages shown are those with {verdict.off:,} places of lights off." if verdict.off else ""
            if verdict.fraction <= 0.0:
                message = (
                    f"Even without load {node} gets less than its driver's cutoff of {volts(cutoff)}: it never starts."
                )
                mend = "Use a supply of higher voltage, or lights made for this one."
            else:
                how = (
                    "the voltage collapses"
                    if verdict.state == "fold"
                    else f"{node} falls to its cutoff of {volts(cutoff)}"
                )
                message = (
                    f"At {percent(verdict.fraction)} of full load {how}; above that no steady state exists in which all "
                    "drivers run."
                )
                mend = f"Feed {string} again near {node}, use heavier cable, or hang fewer lights on it."
            yield finding("no-steady-state", (string, node), message + rest, mend)
        else:
            yield finding(
                "not-solved",
                (string, node),
                f"The curve of voltages of {string} could be followed to {percent(verdict.fraction)} of full load only.",
                f"Lower the level of its lights, or feed {string} again, and plan anew.",
            )
    points = [("mean", power.mean), ("coincident", power.coincident)]
    for name, point in points[:1] if power.mean is power.coincident else points:
        for row, loads in _strings_of(assembly, point.unsolved):
            stated = assembly.strings.names[row]
            yield finding(
                "not-solved",
                (stated,),
                f"The voltages of {stated} did not come to rest in {point.steps} steps at the operating point '{name}' "
                f"({len(loads):,} lights).",
                "Check the parts of this string for absurd resistances or currents.",
            )
        limit = CHARGE_LIMIT_A + CHARGE_LIMIT * float(np.nansum(np.abs(point.supply_a)))
        if not (point.charge_error_a < limit and point.energy_error < ENERGY_LIMIT):
            yield finding(
                "not-solved",
                ("network",),
                f"At the operating point '{name}' currents miss each other by {point.charge_error_a:.2g} A and power by "
                f"{point.energy_error:.2g} of the whole.",
                "Check for absurd resistances or currents in the parts; the numbers of this plan are not to be used.",
            )


def _reach(assembly: Assembly, power: Power) -> Iterator[Finding]:
    dark = np.flatnonzero(~power.alive)
    for string, loads in _strings_of(assembly, dark):
        props = _props_of(assembly, loads)
        name = assembly.strings.names[string]
        count = assembly.display.strings[name].prop_count
        supplies = list(assembly.supplies)
        supply = f"supply: {supplies[0]}" if supplies else "a supply"
        yield finding(
            "no-power",
            props,
            f"No V+ reaches {len(props):,} of {count:,} props of {name} ({several(props)}).",
            f"Give {name} {supply}, or a feed before its first dark prop, or remove the cut before them.",
        )
    for group in joined_supplies(assembly):
        names = [assembly.supplies[i] for i in group]
        strings = sorted(
            {n for n, s in assembly.display.strings.items() if {s.supply, *(f.supply for f in s.feeds)} & set(names)}
        )
        told = [f"{n} ({volts(float(assembly.network.supply_v[i]))})" for n, i in zip(names, group, strict=True)]
        yield finding(
            "joined-supplies",
            names,
            f"V+ of {several(told)} meet on {several(strings)}.",
            "Set cut: true on the feed from the other supply, so that V+ is open between them; V- stays joined.",
        )


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
        prop = _props_of(assembly, worst)[0]
        load = int(worst[0])
        yield finding(
            "low-voltage",
            (string, prop),
            f"Too little voltage at {bad} of {string}: the worst, {prop}, gets "
            f"{volts(float(power.coincident_v[load]))} and needs {volts(float(lowest[load]))}.",
            more.for_the_lowest(prop, float(lowest[load])),
        )
    loss = 1.0 - power.light
    for string, worst, bad in _bad_strings(assembly, lit & (loss > limits.light_loss), loss):
        prop = _props_of(assembly, worst)[0]
        load = int(worst[0])
        yield finding(
            "light-loss",
            (string, prop),
            f"More than {percent(limits.light_loss)} of the light is lost at {bad} of {string}: the worst, {prop}, gives "
            f"{percent(float(power.light[load]))} of its nominal light at {volts(float(power.across_v[load]))}.",
            more.for_the_light(load, prop, lambda change: 1.0 - change.light, limits.light_loss),
        )
    for string, worst, bad in _bad_strings(
        assembly, lit & (power.chromaticity_shift > limits.chromaticity_shift), power.chromaticity_shift
    ):
        prop = _props_of(assembly, worst)[0]
        load = int(worst[0])
        yield finding(
            "chromaticity-shift",
            (string, prop),
            f"White shifts in chromaticity at {bad} of {string}: the worst, {prop}, by "
            f"{power.chromaticity_shift[load]:.3f} Δu′v′ (limit "
            f"{limits.chromaticity_shift:g}) at {volts(float(power.across_v[load]))}.",
            more.for_the_light(load, prop, lambda change: change.chromaticity_shift, limits.chromaticity_shift),
        )


def _bad_strings(assembly: Assembly, bad: Flags, badness: Floats) -> Iterator[tuple[str, Ints, str]]:
    """Yield (string, its worst load, "3 of 12 props") for every string that has bad loads."""
    for row, loads in _strings_of(assembly, np.flatnonzero(bad)):
        name = assembly.strings.names[row]
        worst = loads[np.argsort(-badness[loads], kind="stable")][:1]
        count = len(np.unique(assembly.load_prop[loads]))
        yield name, worst, f"{count:,} of {assembly.display.strings[name].prop_count:,} props"


def _supplies(assembly: Assembly, power: Power, dimming: Dimming) -> Iterator[Finding]:
    limit = assembly.display.limits.supply_load
    drawn = assembly.network.supply_v * power.mean.supply_a
    for i, name in enumerate(assembly.supplies):
        rating, here = float(assembly.supply_rating_w[i]), float(drawn[i])
        if not over(here, limit * rating):
            continue
        need = np.ceil(here / limit / 5.0 * (1.0 - 0.5 * SLACK)) * 5.0
        level = dimming.for_supply(i, limit * rating)
        yield finding(
            "supply-over" if over(here, rating) else "supply-load",
            (name,),
            f"{name} delivers {watts(here)} of its {watts(rating)}, {percent(here / rating)}.",
            f"Use a supply of {at_least(need, watts)} at {volts(float(assembly.network.supply_v[i]))}"
            f"{' or' if level is None else ','} move a string to another supply"
            + ("." if level is None else f", or lower the levels to {level} % of today's."),
        )


def _edge_current(power: Power) -> Floats:
    return np.maximum(np.abs(power.mean.edge_plus_a), np.abs(power.mean.edge_minus_a))


def _conductors(assembly: Assembly, power: Power, dimming: Dimming) -> Iterator[Finding]:
    current = _edge_current(power)
    ampacity, why = part_ampacity(assembly)
    cables, joints = assembly.cables, assembly.joints
    for table, rated, code in (
        (cables, ampacity, "cable-over"),
        (joints, part_joint_rating(assembly), "joint-over"),
    ):
        flows = np.where(table.edge == NONE, 0.0, current[table.edge])
        allowed = rated[table.part]
        bad = np.flatnonzero(over(flows, allowed))
        keys = table.string[bad] * len(assembly.parts) + table.part[bad]
        for key in np.unique(keys):
            rows = bad[keys == key]
            worst = int(rows[np.argmax(flows[rows])])
            ids = cable_ids(assembly, [worst]) if code == "cable-over" else joint_ids(assembly, [worst])
            string, part = int(table.string[worst]), int(table.part[worst])
            here, most = float(flows[worst]), float(allowed[worst])
            what = "pieces of cable" if code == "cable-over" else "joints"
            count = f" ({len(rows)} {what} of {assembly.parts[part]} are over)" if len(rows) > 1 else ""
            again = "feed the string again so that less flows here"
            if code == "cable-over":
                level = dimming.for_cable(string, part, most)
                mend = (
                    f"Use a cable for {at_least(here)} here or {again}."
                    if level is None
                    else f"Use a cable for {at_least(here)} here, {again}, or lower the level to {level} % of today's."
                )
            else:
                mend = f"Use a joint rated for {at_least(here)}, or {again}."
            yield finding(
                code,
                ids,
                f"{ids[0]} ({assembly.parts[part]}) carries {amps(here)} and may carry {amps(most)}{count}.",
                mend,
                why[part] if code == "cable-over" else None,
            )
