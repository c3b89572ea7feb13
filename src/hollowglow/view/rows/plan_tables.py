"""The tables of a plan column by column: what carries current, what it shorts to, what hangs where."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np

from hollowglow.analysis.circuit.fault import outcome_words
from hollowglow.analysis.circuit.mains import LoadedCircuit
from hollowglow.analysis.data import output_name
from hollowglow.analysis.money.cost import cut_list
from hollowglow.assembly.ids import cable_ids, fuse_ids, joint_ids, node_ids, prop_ids
from hollowglow.assembly.tables import NONE, Floats, Ints
from hollowglow.messages.told import Told
from hollowglow.messages.words.mains import split
from hollowglow.plan import Plan
from hollowglow.quantity.numbers import plain

Row = dict[str, Any]
Columns = dict[str, list[Any]]
DIGITS = 9


def _column(values: Floats, digits: int = DIGITS) -> list[float | None]:
    rounded = np.round(values, digits)
    plain: list[float | None] = rounded.tolist()
    if not np.isfinite(rounded).all():
        plain = [v if v is not None and math.isfinite(v) else None for v in plain]
    return plain


def _columns(**columns: list[Any]) -> Columns:
    return columns


def rows(columns: Columns) -> Iterator[Row]:
    """Yield the rows of a table that is held as columns."""
    names = tuple(columns)
    for values in zip(*columns.values(), strict=True):
        yield dict(zip(names, values, strict=True))


def nodes(plan: Plan) -> Columns:
    """Return the table of nodes: worst case, full white at the file's levels."""
    assembly, power, signal = plan.assembly, plan.power, plan.signal
    table, props = assembly.nodes, assembly.props
    place = assembly.network.load_place[table.load]
    string = np.array(assembly.strings.names, dtype=object)[props.string[table.prop]]
    return _columns(
        id=node_ids(assembly),
        string=string.tolist(),
        prop=props.number[table.prop].tolist(),
        index=signal.chain.tolist(),
        cell=table.cell.tolist(),
        v_plus=_column(power.mean.plus_v[place]),
        v_minus=_column(power.mean.minus_v[place]),
        v_coincident=_column(power.coincident_v[table.load]),
        current=_column(power.mean.load_a[table.load]),
        light=_column(power.light[table.load]),
        chromaticity_shift=_column(power.chromaticity_shift[table.load]),
        lightness=_column(power.lightness[table.load]),
        universe=signal.universe.tolist(),
        slot=signal.slot.tolist(),
    )


def _flows(plan: Plan, edge: Ints) -> tuple[Floats, Floats]:
    mean = plan.power.mean
    idle = edge == NONE
    return (
        np.where(idle, 0.0, np.abs(mean.edge_plus_a[edge])) if len(edge) else np.zeros(0),
        np.where(idle, 0.0, np.abs(mean.edge_minus_a[edge])) if len(edge) else np.zeros(0),
    )


def cables(plan: Plan) -> Columns:
    """Return the table of cables; drop and loss are those of both conductors together."""
    assembly, table = plan.assembly, plan.assembly.cables
    plus, minus = _flows(plan, table.edge)
    return _columns(
        id=cable_ids(assembly),
        part=[assembly.parts[i] for i in table.part.tolist()],
        length=_column(table.length_m),
        resistance=_column(table.ohm),
        current=_column(np.maximum(plus, minus)),
        current_plus=_column(plus),
        current_minus=_column(minus),
        drop=_column((plus + minus) * table.ohm),
        loss=_column((plus**2 + minus**2) * table.ohm),
    )


def joints(plan: Plan) -> Columns:
    """Return the table of joints."""
    assembly, table = plan.assembly, plan.assembly.joints
    plus, minus = _flows(plan, table.edge)
    return _columns(
        id=joint_ids(assembly),
        part=[assembly.parts[i] for i in table.part.tolist()],
        current=_column(np.maximum(plus, minus)),
        drop=_column((plus + minus) * table.ohm),
        loss=_column((plus**2 + minus**2) * table.ohm),
    )


def fuses(plan: Plan) -> Columns:
    """Return the table of fuses."""
    assembly, table = plan.assembly, plan.assembly.fuses
    plus, _ = _flows(plan, table.edge)
    return _columns(
        id=fuse_ids(assembly),
        part=[assembly.part_name(i) for i in table.part.tolist()],
        rating=_column(table.rating_a),
        current=_column(plus),
        load_fraction=_column(plus / table.rating_a),
    )


def supplies(plan: Plan) -> Columns:
    """Return the table of supplies; power is that of the ideal source, before its own resistance."""
    assembly = plan.assembly
    current = plan.power.mean.supply_a
    power = current * assembly.network.supply_v
    return _columns(
        id=list(assembly.supplies),
        voltage=_column(assembly.network.supply_v),
        rating=_column(assembly.supply_rating_w),
        current=_column(current),
        power=_column(power),
        load_fraction=_column(power / assembly.supply_rating_w),
    )


def faults(plan: Plan) -> Columns:
    """Return the table of dead shorts; times are null where a fuse need not open."""
    assembly, table = plan.assembly, plan.faults
    fuse = table.entries.fuse[table.entry]
    names = np.array([*fuse_ids(assembly), "-"], dtype=object)  # NONE points at the last
    parts = np.array([*assembly.parts, "-"], dtype=object)
    return _columns(
        id=table.points.ids(assembly),
        supply=np.array(assembly.supplies, dtype=object)[table.supply].tolist(),
        fuse=names[fuse].tolist(),
        loop=_column(table.loop_ohm, 6),
        current=_column(table.current_a, 4),
        current_fuse=_column(table.fuse_a, 4),
        current_lasting=_column(table.lasting_a, 4),
        opens_after=_column(table.opens_after_s, 4),
        opens_within=_column(table.opens_within_s, 4),
        outcome=outcome_words(table),
        hottest=parts[table.cable].tolist(),
        temperature=_column(table.hottest_c, 1),
        smoulder_power=_column(table.smoulder_w, 2),
        smoulder_resistance=_column(table.smoulder_ohm, 4),
    )


def mains(plan: Plan) -> Columns:
    """Return the table of mains circuits."""
    made = plan.mains.circuits

    def column(value: Callable[[LoadedCircuit], float | None]) -> list[float | None]:
        return [None if v is None else plain(v, DIGITS) for v in map(value, made)]

    return _columns(
        id=[c.name for c in made],
        supplies=[list(c.supplies) for c in made],
        voltage=column(lambda c: c.voltage_v),
        breaker=column(lambda c: c.breaker_a),
        power=column(lambda c: c.power_w),
        current=column(lambda c: c.current_a),
        load_fraction=column(lambda c: c.load_fraction),
        leakage=column(lambda c: c.leakage_a),
        rcd=column(lambda c: c.rcd_a),
        inrush=column(lambda c: c.inrush_a),
        opens_at_once=column(lambda c: c.at_once_a),
        switch_on=[[" + ".join(g) for g in c.groups] for c in made],
        energy=column(lambda c: c.energy_kwh),
        price=column(lambda c: c.price),
    )


def class2(plan: Plan) -> Columns:
    """Return the table of supplies and circuits against the numbers of Class 2."""
    made = plan.class2
    return _columns(
        id=[one.id for one in made],
        what=[one.what for one in made],
        voltage=[plain(one.voltage_v, DIGITS) for one in made],
        power=[plain(one.power_w, DIGITS) for one in made],
        current=[plain(one.current_a, DIGITS) for one in made],
        most_power=[plain(one.most_w, DIGITS) for one in made],
        most_current=[plain(one.most_a, DIGITS) for one in made],
        within=[one.within for one in made],
        wet_contact=[one.wet for one in made],
        split=[split(Told(one.split.facts)) if one.split else "" for one in made],
    )


def outputs(plan: Plan) -> Columns:
    """Return the table of outputs in use."""
    assembly, table = plan.assembly, plan.signal.outputs
    triples = zip(table.controller.tolist(), table.number.tolist(), strict=True)
    return _columns(
        id=[output_name(assembly, c, n) for c, n in triples],
        string=[assembly.strings.names[i] for i in table.string.tolist()],
        chain_nodes=table.chain_nodes.tolist(),
        cells=table.cells.tolist(),
        slots=table.slots.tolist(),
        frame_time=_column(table.frame_time_s),
        max_rate=_column(table.max_rate_hz),
        universes=[
            list(range(a, b + 1))
            for a, b in zip(table.first_universe.tolist(), table.last_universe.tolist(), strict=True)
        ],
    )


def cuts(plan: Plan) -> Columns:
    """Return the cut list."""
    pieces = cut_list(plan.assembly)
    return _columns(
        id=pieces.id,
        use=pieces.use,
        part=pieces.part,
        length=_column(pieces.length_m),
        drip_loop=_column(pieces.drip_loop_m),
    )


def props(plan: Plan) -> Columns:
    """Return the table of props whose light or place is known.

    Their light is that of full white at the file's levels and the voltages that reach them.
    """
    assembly, lit, spots = plan.assembly, plan.lit, plan.placed.spots_m
    known = np.array([kind is not None for kind in plan.optics.kinds], dtype=bool)
    shown = np.isfinite(spots[:, 0]) | (known[assembly.props.kind] if len(known) else False)
    own = np.flatnonzero(shown)
    names = assembly.kinds.names
    return _columns(
        id=prop_ids(assembly, own),
        kind=[names[k] for k in assembly.props.kind[own].tolist()],
        x=_column(spots[own, 0], 6),
        y=_column(spots[own, 1], 6),
        z=_column(spots[own, 2], 6),
        flux_out=_column(lit.flux_out_lm[own]),
        mean_luminance=_column(lit.mean_cd_m2[own]),
        intensity=_column(lit.intensity_cd[own]),
    )
