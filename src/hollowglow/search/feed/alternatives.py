"""What could be done instead of feeding a string again: heavier cable, a higher voltage, a lower level."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from hollowglow.analysis.circuit.power.ratings import over
from hollowglow.assembly.kinds import light_of
from hollowglow.assembly.lengths import run_length, span_lengths
from hollowglow.assembly.resistances import cable_ohm_per_m, resolved_supply
from hollowglow.file import Display
from hollowglow.file.model.display import FuseRef, Lead, Span, String, Supply
from hollowglow.file.model.kind import DEFAULT_CABLE
from hollowglow.file.model.parts import Light, Part
from hollowglow.quantity.words import percent, volts
from hollowglow.search.feed.string_plan import shortage_v
from hollowglow.search.trials.choice import LeadPoint, Price, lead_price, priced
from hollowglow.search.trials.market import CableChoice, FuseChoice, known_parts
from hollowglow.search.trials.trial import TrialOutcome, TrialString

_FUSES = ("fuse-load", "fuse-blows", "fuse-over-cable", "fuse-over-joint", "no-fuse", "fuses-add-up")
_STEP_W = 5.0


@dataclass(frozen=True)
class Alternative:
    """One thing to do instead: a word for it, what to do, its price, and the string with it (None: no such parts)."""

    way: str
    what: str
    price: Price | None
    outcome: TrialOutcome | None

    @property
    def meets(self) -> bool:
        """Return whether nothing remains wrong."""
        return self.outcome is not None and self.outcome.meets


def alternatives(bench: TrialString, supply: str, before: TrialOutcome) -> tuple[Alternative, ...]:
    """Return what could be done instead of feeding a string again: one of each sort, the cheapest that helps.

    Args:
        bench: the string.
        supply: what feeds it.
        before: the string as the file has it.
    """
    fuse_only = all(f.code in _FUSES for f in before.findings)
    plain = bench.display.strings[bench.name].model_copy(update={"feeds": (), "supply": supply})
    return (_heavier(bench, plain), _higher(bench, plain, supply), _lower(bench, plain, fuse_only))


def _with(bench: TrialString, string: String, **update: object) -> Display:
    parts = {**bench.market.parts, **bench.display.parts}
    return bench.alone.model_copy(update={"strings": {bench.name: string}, "parts": parts, **update})


@dataclass(frozen=True)
class _Try:
    """A string tried, with the fuse that it took (None: as stated) and what that costs."""

    outcome: TrialOutcome
    fuse: FuseChoice | None
    price: Price


def _tried(bench: TrialString, display: Display) -> _Try:
    """Return a string tried with its own fuse, or with another one where that leaves less wrong."""
    string = display.strings[bench.name]
    outcome = bench.judged(display)
    own = _Try(outcome, None, lead_price(bench.display, bench.name, LeadPoint()))
    if not any(f.code in _FUSES for f in outcome.findings):
        return own
    flows = float(np.nanmax(np.abs(outcome.power.mean.edge_plus_a), initial=0.0))
    limit = bench.display.limits.fuse_load
    best = own
    for fuse in [f for f in bench.market.fuses if not over(flows, limit * f.rating_a)][:2]:
        changed = string.model_copy(update={"fuse": FuseRef(part=fuse.name)})
        then = bench.judged(display.model_copy(update={"strings": {bench.name: changed}}))
        if len(then.findings) < len(best.outcome.findings):
            best = _Try(then, fuse, lead_price(bench.display, bench.name, LeadPoint(fuse=fuse)))
    return best


def _sum(display: Display, parts: float, tried: _Try) -> Price:
    return priced(display, parts + tried.price.parts, tried.price.minutes)


def _fused(words: str, tried: _Try) -> str:
    return words if tried.fuse is None else f"{words}, fuse {tried.fuse.name}"


def _heavier(bench: TrialString, string: String) -> Alternative:
    """Return heavier cable for the spans, or for the lead and the spans."""
    display, span = bench.display, string.span
    nothing = Alternative("heavier cable", "no heavier cable is known for its spans", None, None)
    if span is None or span.extension is not None or string.prop_count == 1:
        return replace(nothing, what="its spans are ready-made extensions, or it has none")
    metres = float(span_lengths(display, string).whole_m.sum())
    stated = display.parts[span.cable or DEFAULT_CABLE]
    lead_metres = run_length(display, string.lead.length).whole_m
    own = display.parts[string.lead.cable]

    def one(cable: CableChoice, lead_too: bool) -> Alternative:
        span_there = Span.model_construct(cable=cable.name, length=span.length, joint=span.joint)
        changed = string.model_copy(update={"span": span_there})
        parts = metres * (cable.price - (stated.price or 0.0))
        if lead_too:
            lead = Lead.model_construct(cable=cable.name, length=string.lead.length, joint=string.lead.joint)
            changed = changed.model_copy(update={"lead": lead})
            parts += lead_metres * (cable.price - (own.price or 0.0))
        tried = _tried(bench, _with(bench, changed))
        words = f"{cable.name} for its spans" + (" and its lead" if lead_too else "")
        return Alternative("heavier cable", _fused(words, tried), _sum(display, parts, tried), tried.outcome)

    found: list[Alternative] = []
    for lead_too in (True, False):
        # Less resistance helps, so the first that is heavy enough is found by halving.
        cables = [c for c in bench.market.leads if _lighter(bench, stated, c)]
        cables = [c for c in cables if not lead_too or _lighter(bench, own, c)]
        if not cables or (found and not found[0].meets):
            continue
        found.append(one(cables[-1], lead_too))
        low, high = 0, len(cables) - 1
        while found[-1].meets and low < high:
            middle = (low + high) // 2
            tried = one(cables[middle], lead_too)
            if tried.meets:
                high = middle
                found.append(tried)
            else:
                low = middle + 1
    return _choose(found) or nothing


def _lighter(bench: TrialString, stated: Part, cable: CableChoice) -> bool:
    """Return whether a stated cable has more resistance than another one."""
    assert stated.cable is not None
    return cable.ohm_per_m < cable_ohm_per_m(stated.cable, bench.display.ambient) * (1.0 - 1e-9)


def _choose(found: list[Alternative]) -> Alternative | None:
    """Return the cheapest that leaves nothing wrong, or the one that leaves least."""

    def merit(one: Alternative) -> tuple[int, float, float]:
        assert one.outcome is not None
        assert one.price is not None
        short = 0.0 if one.outcome.meets else round(shortage_v(one.outcome), 3)
        return len(one.outcome.findings), short, one.price.total

    return min(found, key=merit, default=None)


def _same_light(light: Light, other: Light) -> bool:
    return other.emitters == light.emitters and other.colours == light.colours


def _higher(bench: TrialString, string: String, supply: str) -> Alternative:
    """Return lights of the same emitters for a higher voltage, with a supply of that voltage for this string."""
    display = bench.display
    kinds = list(dict.fromkeys(run.kind for run in string.props))
    lights = known_parts(display, "light")
    supplies = {n: p for n, p in known_parts(display, "supply").items() if p.supply is not None and p.price is not None}
    now_v = resolved_supply(display, display.supplies[supply])[0]
    found: list[Alternative] = []
    higher = sorted(
        {p.light.voltage for p in lights.values() if p.light and p.light.voltage and p.light.voltage > now_v}
    )
    for voltage in higher:
        chosen: dict[str, str] = {}
        for kind in kinds:
            light = light_of(display, kind)
            fits = [
                n for n, p in lights.items() if p.light and p.light.voltage == voltage and _same_light(light, p.light)
            ]
            if fits:
                chosen[kind] = min(fits, key=_likeness(light, lights))
        if len(chosen) == len(kinds):
            found += _at_voltage(bench, string, supply, voltage, chosen, lights, supplies)
    nothing = Alternative(
        "higher voltage",
        f"no lights of the same emitters for more than {volts(now_v)} are in the catalogue",
        None,
        None,
    )
    return _choose(found) or nothing


def _likeness(light: Light, lights: dict[str, Part]) -> Callable[[str], tuple[bool, float]]:
    """Return how unlike a light each other one is: another current-voltage characteristic first, then its price."""

    def merit(name: str) -> tuple[bool, float]:
        other = lights[name].light
        return (other is None or other.load.characteristic != light.load.characteristic, lights[name].price or 0.0)

    return merit


def _at_voltage(
    bench: TrialString,
    string: String,
    supply: str,
    voltage: float,
    chosen: dict[str, str],
    lights: dict[str, Part],
    supplies: dict[str, Part],
) -> Iterator[Alternative]:
    display = bench.display
    kinds = {
        k: display.kinds[k].model_copy(update={"fill": display.kinds[k].fill.model_copy(update={"light": light})})
        for k, light in chosen.items()
    }
    parts = {**bench.market.parts, **display.parts, **{n: lights[n] for n in chosen.values()}}
    sized = sorted(
        (p.supply.rating, p.price or 0.0, n) for n, p in supplies.items() if p.supply and p.supply.voltage == voltage
    )
    alone = replace(bench, others_a=np.zeros(len(display.supplies)))
    for rating, price, name in sized:
        there = {**display.supplies, supply: Supply(part=name)}
        tried = _tried(
            alone,
            _with(
                bench, string, kinds={**display.kinds, **kinds}, supplies=there, parts={**parts, name: supplies[name]}
            ),
        )
        assembly, mean = tried.outcome.assembly, tried.outcome.power.mean
        row = assembly.supplies.index(supply)
        drawn = float(np.nan_to_num(assembly.network.supply_v[row] * mean.supply_a[row]))
        if over(drawn, display.limits.supply_load * rating):
            continue
        counts = {k: sum(r.count for r in string.props if r.kind == k) * display.kinds[k].fill.count for k in chosen}
        more = sum(
            counts[k] * ((lights[n].price or 0.0) - (display.parts[display.kinds[k].fill.light].price or 0.0))
            for k, n in chosen.items()
        )
        words = f"{', '.join(dict.fromkeys(chosen.values()))} on a supply of its own ({name})"
        yield Alternative("higher voltage", _fused(words, tried), _sum(display, price + more, tried), tried.outcome)
        return


def _lower(bench: TrialString, string: String, fuse_only: bool) -> Alternative:
    """Return the highest whole percent of today's levels at which nothing is wrong."""
    kinds = dict.fromkeys(run.kind for run in string.props)

    def at(level: int) -> _Try:
        share = {k: bench.display.level(k) * level / 100.0 for k in kinds}
        return _tried(bench, _with(bench, string, levels={**bench.display.levels, **share}))

    low, high = 0, 100
    best: _Try | None = None
    as_stated = at(100) if fuse_only else None
    if as_stated is not None and as_stated.outcome.meets:
        words = _fused("no lower level is needed", as_stated)
        return Alternative("lower level", words, _sum(bench.display, 0.0, as_stated), as_stated.outcome)
    least = at(1)
    while least.outcome.meets and high - low > 1:
        middle = (low + high) // 2
        tried = at(middle)
        if tried.outcome.meets:
            low, best = middle, tried
        else:
            high = middle
    if best is None:
        words = "no level is low enough; this is at 1 % of today's"
        return Alternative("lower level", words, _sum(bench.display, 0.0, least), least.outcome)
    words = f"levels at {percent(low / 100.0)} of today's on {', '.join(kinds)}"
    return Alternative("lower level", _fused(words, best), _sum(bench.display, 0.0, best), best.outcome)
