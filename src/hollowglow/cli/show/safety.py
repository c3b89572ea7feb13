"""Shorts, mains circuits and Class 2 on the terminal: one short table each."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from rich.console import Console

from hollowglow.analysis.circuit.fault import fuse_name, outcome_words, worst_of
from hollowglow.analysis.circuit.mains import Class2Numbers, LoadedCircuit
from hollowglow.cli.show.tables import print_table, table
from hollowglow.plan import Plan
from hollowglow.quantity.words import amps, percent, seconds, volts, watts


def show_faults(console: Console, plan: Plan, most: int) -> None:
    """Print of each piece of V+ the dead short that is hardest to end, and the joint that could smoulder most."""
    faults = plan.faults
    rows = np.arange(len(faults.outcome))
    if not len(rows):
        return
    rating = faults.entries.rating_a[faults.entry]
    # The slowest is the worst; where nothing opens, the one that is farthest from opening.
    badness = np.where(np.isfinite(faults.opens_within_s), faults.opens_within_s, 1e9 - faults.fuse_a / rating)
    worst = worst_of(rows, faults.points.piece, badness)
    made = table(
        "Dead shorts, the hardest to end on each piece of V+ (estimate: watts in a bad joint that opens nothing)",
        "at",
        "fuse",
        "draws",
        "opens within",
        "ends",
        "cable",
        "joint",
        right=(2, 3, 5, 6),
    )
    shown = worst[:most]
    ends = outcome_words(faults)
    for point, name in zip(shown, faults.points.take(np.array(shown)).ids(plan.assembly), strict=True):
        mine = faults.points.piece == faults.points.piece[point]
        within = float(faults.opens_within_s[point])
        made.add_row(
            name,
            fuse_name(plan.assembly, faults, point),
            amps(float(faults.current_a[point])),
            seconds(within) if np.isfinite(within) else "need not",
            ends[point],
            f"{faults.hottest_c[point]:.0f} degC",
            watts(float(faults.smoulder_w[mine].max())),
        )
    print_table(console, made, len(worst), most, "--json or --csv has all")


def _or_dash(value: float | None, words: Callable[[float], str]) -> str:
    return "-" if value is None else words(value)


def show_mains(console: Console, plan: Plan, most: int) -> None:
    """Print the mains circuits where the file states any, or a season."""
    circuits = plan.mains.circuits if plan.mains.stated else ()
    made = table(
        "Mains at full white (the season is an estimate); wiring is a licensed electrician's",
        "circuit",
        "supplies",
        "current",
        "of breaker",
        "leaks",
        "inrush",
        "groups",
        "season",
        right=(1, 2, 3, 4, 5, 6, 7),
    )
    currency = plan.assembly.display.currency
    for one in circuits[:most]:
        made.add_row(*_circuit(one, currency))
    print_table(console, made, len(circuits), most, "--json or --csv has all")


def _circuit(one: LoadedCircuit, currency: str) -> tuple[str, ...]:
    price = f", {one.price:,.2f} {currency}" if one.price else ""
    return (
        one.name,
        f"{len(one.supplies):,}",
        _or_dash(one.current_a, amps),
        _or_dash(one.load_fraction, percent),
        _or_dash(one.leakage_a, amps),
        _or_dash(one.inrush_a, amps),
        f"{len(one.groups):,}" if one.groups else "-",
        _or_dash(one.energy_kwh, lambda kwh: f"{kwh:.1f} kWh{price}"),
    )


def show_class2(console: Console, plan: Plan, most: int) -> None:
    """Print the supplies against the numbers of Class 2."""
    supplies = [one for one in plan.class2 if one.what == "supply"]
    made = table(
        "Numbers of Class 2, NEC chapter 9 table 11(B); only listed and marked supplies are Class 2",
        "supply",
        "rating",
        "limit",
        "numbers",
        "circuits beyond",
        right=(1, 2, 4),
    )
    for one in supplies[:most]:
        circuits = _circuits_of(plan.class2, one.id)
        made.add_row(
            one.id,
            f"{watts(one.power_w)} at {volts(one.voltage_v)}",
            f"{watts(one.most_w)}, {amps(one.most_a)}",
            "within" if one.within else "beyond",
            f"{sum(not c.within for c in circuits):,} of {len(circuits):,}",
        )
    print_table(console, made, len(supplies), most, "--json or --csv has all")


def _circuits_of(rows: Sequence[Class2Numbers], supply: str) -> list[Class2Numbers]:
    return [one for one in rows if one.what == "circuit" and one.id.startswith(f"{supply}: ")]
