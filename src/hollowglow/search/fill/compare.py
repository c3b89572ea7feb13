"""Every candidate computed: its light, and what it does to the chain, the power, the cost and the work of its kind."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from hollowglow.analysis import data as signal
from hollowglow.analysis.circuit.power.network.loads import drawer
from hollowglow.analysis.money.cost import minutes_per_prop, prop_bill
from hollowglow.analysis.prop.inside import frame_of
from hollowglow.analysis.prop.optics import (
    KindLight,
    KindReadings,
    MeasuredLight,
    OpticsError,
    PropLamp,
    Refinement,
    corrected,
    ladder_of,
    lamp_of,
    light_up,
    multiplied,
)
from hollowglow.analysis.prop.optics import analyse as light_of_kinds
from hollowglow.assembly import Assembly, expand
from hollowglow.assembly.kinds import light_of
from hollowglow.assembly.tables import Floats
from hollowglow.file import Display
from hollowglow.file.reading.load import part_named
from hollowglow.search.fill.candidates import Candidate, with_fill

# Below so many arcminutes across a prop is a point to the eye, and its intensity counts; above, its luminance.
POINT_ARCMIN = 2.0


@dataclass(frozen=True, eq=False)
class CandidateOutcome:
    """One candidate with its figures, those of one prop at full white and 100 % level unless they say otherwise.

    Attributes:
        candidate: what goes inside.
        light: the computed light.
        flux_out_lm, mean_cd_m2, intensity_cd: light out, mean luminance, intensity to viewers at its height.
        uniformity, hot_spot: lowest over mean luminance, and highest over mean less 1 after the eye's blur.
        power_w: drawn by one prop at nominal voltage.
        nodes, cells: places in the data chain and cells of one prop.
        chain_nodes: longest chain of an output that carries the kind, nodes.
        frame_time_s: longest frame time of such an output, s; 0 where the kind hangs nowhere.
        chain_fits: whether every such chain is within its output's limit and reaches the asked rate.
        cost, minutes: of one prop, in the bill's currency and at the bench.
        props: how many props of the kind there are.
        xy: CIE 1931 chromaticity of each colour, shape (c, 2).
        level: at which it matches the dimmest other kind as drawn, None where there is none or it is too dim for that.
    """

    candidate: Candidate
    light: KindLight
    flux_out_lm: float
    mean_cd_m2: float
    intensity_cd: float
    uniformity: float
    hot_spot: float
    power_w: float
    nodes: int
    cells: int
    chain_nodes: int
    frame_time_s: float
    chain_fits: bool
    cost: float
    minutes: float
    props: int
    xy: Floats
    level: float | None


@dataclass(frozen=True)
class Comparison:
    """All outcomes for one kind.

    Attributes:
        kind: its name.
        outcomes: in the order of the candidates.
        left_out: candidates whose light cannot be computed, with the reason.
        matched_by: "luminance" or "intensity", whichever counts at the viewing distance.
        currency: of the costs.
        viewing_m: distance of the viewer, m.
        hangs: which way up the kind hangs.
    """

    kind: str
    outcomes: tuple[CandidateOutcome, ...]
    left_out: tuple[tuple[Candidate, str], ...]
    matched_by: str
    currency: str
    viewing_m: float
    hangs: str


def compare(
    display: Display,
    kind: str,
    candidates: Sequence[Candidate],
    progress: Callable[[Candidate], None] = lambda _candidate: None,
    measured: Mapping[str, MeasuredLight] | None = None,
) -> Comparison:
    """Return the figures of every candidate; the shell's own equations are set up once and serve them all.

    Args:
        display: what the person stated; the kind must have a shell.
        kind: name of the kind.
        candidates: what to compare.
        progress: called with each candidate as it begins.
        measured: what readings say of kinds. Those of this kind count for all of its candidates, because the shell, of
            which least is known, stays.

    Raises:
        OpticsError: a shell or carrier that cannot be.
    """
    stated = display.kinds[kind]
    by = "intensity" if _arcmin(display, kind) < POINT_ARCMIN else "luminance"
    readings = measured or {}
    target = _dimmest_other(display, kind, by, readings)
    ladders: dict[int, Refinement] = {}
    outcomes, left_out = [], []
    for candidate in candidates:
        progress(candidate)
        changed = display.model_copy(update={"kinds": {**display.kinds, kind: with_fill(stated, candidate)}})
        changed = _with_part(changed, candidate.light)
        lamp = lamp_of(changed.kinds[kind], light_of(changed, kind))
        assert lamp is not None
        try:
            lit = light_up(lamp, stated.hangs, display.viewing, _ladder(ladders, lamp, stated.hangs))
        except OpticsError as error:
            left_out.append((candidate, str(error)))
            continue
        if kind in readings:
            lit = multiplied(lit, replace(readings[kind], shares=None))
        outcomes.append(_outcome(changed, kind, candidate, lit, by, target))
    return Comparison(kind, tuple(outcomes), tuple(left_out), by, display.currency, display.viewing, stated.hangs)


def _with_part(display: Display, name: str) -> Display:
    if name in display.parts:
        return display
    return display.model_copy(update={"parts": {**display.parts, name: part_named(display, name)}})


def _ladder(made: dict[int, Refinement], lamp: PropLamp, hangs: str) -> Refinement:
    """Return the ladder for lights of as many colours; all candidates have the same shell and carrier."""
    colours = len(lamp.wall.transmittance)
    if colours not in made:
        made[colours] = ladder_of(lamp, hangs)
    return made[colours]


def _arcmin(display: Display, kind: str) -> float:
    shell = display.kinds[kind].shell
    assert shell is not None
    return math.degrees(2.0 * frame_of(shell).widest_m / display.viewing) * 60.0


def _figure(lit: KindLight, by: str, duty: Floats | float = 1.0) -> float:
    return float((duty * (lit.mean_cd_m2 if by == "luminance" else lit.intensity_cd)).sum())


def _dimmest_other(display: Display, kind: str, by: str, measured: Mapping[str, MeasuredLight]) -> float | None:
    """Return the luminance or intensity of the dimmest other kind that hangs somewhere, at its level in the file."""
    used = {run.kind for string in display.strings.values() for run in string.props}
    others = {n: k for n, k in display.kinds.items() if n != kind and n in used and k.shell is not None}
    if not others:
        return None
    assembly = expand(display.model_copy(update={"kinds": others, "strings": {}, "levels": {}, "trims": {}}))
    lit = corrected(light_of_kinds(assembly), assembly.kinds.names, KindReadings(measured, {})).kinds
    values = [
        _figure(one, by, np.array(display.duties(n, len(one.mean_cd_m2))))
        for n, one in zip(others, lit, strict=True)
        if one is not None
    ]
    positive = [v for v in values if v > 0.0]
    return min(positive, default=None)


def _outcome(
    display: Display, kind: str, candidate: Candidate, lit: KindLight, by: str, target: float | None
) -> CandidateOutcome:
    assembly = expand(display)
    row = assembly.kinds.names.index(kind)
    table = assembly.kinds
    longest, slowest, fits = _chains(assembly, row)
    props = int((assembly.props.kind == row).sum())
    own = _figure(lit, by)
    level = None if target is None or own < target else target / own
    seen = lit.settled.appearance
    return CandidateOutcome(
        candidate=candidate,
        light=lit,
        flux_out_lm=float(lit.flux_out_lm.sum()),
        mean_cd_m2=float(lit.mean_cd_m2.sum()),
        intensity_cd=float(lit.intensity_cd.sum()),
        uniformity=seen.uniformity,
        hot_spot=seen.hot_spot,
        power_w=_power_w(assembly, row),
        nodes=int(table.nodes[row]),
        cells=1 if table.ganged[row] else int(table.nodes[row]),
        chain_nodes=longest,
        frame_time_s=slowest,
        chain_fits=fits,
        cost=prop_bill(assembly, kind).total,
        minutes=float(minutes_per_prop(assembly)[row]),
        props=props,
        xy=table.xy[row],
        level=level,
    )


def _chains(assembly: Assembly, row: int) -> tuple[int, float, bool]:
    """Return (longest chain, longest frame time in s, whether all are allowed) of outputs with props of a kind."""
    if not len(assembly.props.kind):
        return 0, 0.0, True
    out = signal.analyse(assembly).outputs
    strings = np.unique(assembly.props.string[assembly.props.kind == row])
    mine = np.isin(out.string, strings)
    if not mine.any():
        return 0, 0.0, True
    limits = [assembly.display.controllers[assembly.controllers[c]] for c in out.controller[mine].tolist()]
    most = np.array([c.nodes_per_output for c in limits])
    rate = np.array([c.rate for c in limits])
    fits = bool((out.chain_nodes[mine] <= most).all() and (out.max_rate_hz[mine] >= rate * (1.0 - 1e-9)).all())
    return int(out.chain_nodes[mine].max()), float(out.frame_time_s[mine].max()), fits


def _power_w(assembly: Assembly, row: int) -> float:
    """Return what one prop of a kind draws at full white and its nominal voltage, W."""
    characteristics, table = assembly.network.characteristics, assembly.kinds
    volts = float(table.nominal_v[row])
    if not math.isfinite(volts):
        volts = float(assembly.network.supply_v.max(initial=0.0))
    if characteristics.falls[row]:
        volts = max(volts, float(characteristics.cutoff_v[row]))
    draw = drawer(characteristics, np.array([row]))
    current, _ = draw.node(np.array([volts]), np.ones((1, draw.colours)))
    return volts * float(current[0]) * int(table.nodes[row])
