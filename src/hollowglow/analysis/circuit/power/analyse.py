"""From an Assembly to the voltage, current and light of everything in it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from hollowglow.analysis.circuit.power.network.branch import (
    Verdict,
    follow,
    partly_off,
    positive_definite,
    surely_single,
)
from hollowglow.analysis.circuit.power.network.equations import KNOWN, CircuitEquations, is_stiff, prepare
from hollowglow.analysis.circuit.power.network.loads import Drawer, drawer
from hollowglow.analysis.circuit.power.network.newton import Solution, jacobian, solve
from hollowglow.analysis.circuit.power.result import Point, Power
from hollowglow.assembly import Assembly, Network
from hollowglow.assembly.tables import Floats, Ints
from hollowglow.physics.colour import white_change


@dataclass(frozen=True)
class Solved:
    """A point with the verdicts on the islands that have none, or two."""

    point: Point
    verdicts: tuple[Verdict, ...]


def solve_network(network: Network, duty: Floats, circuit: CircuitEquations | None = None) -> Solved:
    """Return the operating point of a network at a duty per row of the characteristics and colour.

    Args:
        network: the circuit.
        duty: of each colour by row of the characteristics, 0 to 1, shape (K, c).
        circuit: the equations where they are prepared already.

    Returns:
        The point, and a verdict for every island with constant-power lights that has no steady state, or two.
    """
    circuit = prepare(network) if circuit is None else circuit
    characteristic = network.load_characteristic[circuit.alive]
    count = network.load_count[circuit.alive]
    draw = drawer(network.characteristics, characteristic)
    own = duty[characteristic]
    solution = solve(circuit, draw, count, own)
    verdicts: list[Verdict] = []
    x = solution.x.copy()
    converged = solution.converged.copy()
    off = np.zeros(len(draw.running), dtype=bool)
    for island in _doubtful(circuit, draw, count, own, solution):
        verdict = follow(circuit, draw, count, own, island)
        mine = circuit.island == island
        rest = verdict.upper
        if verdict.state in ("fold", "cutoff"):
            rest, stopped = partly_off(circuit, draw, count, own, island, verdict.end)
            off |= stopped
            verdict = replace(verdict, off=int(stopped.sum()) if rest is not None else 0)
        converged[island] = rest is not None
        if rest is not None:
            x[mine] = rest
        if verdict.state != "one":
            verdicts.append(verdict)
    draw = replace(draw, running=~off)
    x[~converged[circuit.island]] = np.nan
    explained = np.zeros(circuit.islands, dtype=bool)
    explained[circuit.load_island[[v.load for v in verdicts]]] = True
    lost = (~converged & ~explained)[circuit.load_island]
    unsolved = np.flatnonzero(circuit.alive)[lost]
    return Solved(_point(network, circuit, draw, own, x, solution.steps, unsolved), tuple(verdicts))


def _doubtful(circuit: CircuitEquations, draw: Drawer, count: Floats, duty: Floats, solution: Solution) -> list[int]:
    """Return the islands with constant-power lights whose steady state is not proven to be there and alone."""
    characteristics = circuit.network.characteristics
    live = characteristics.falls[draw.characteristic] & (duty * characteristics.power_w[draw.characteristic] > 0.0).any(
        axis=1
    )
    if not live.any():
        return []
    islands = np.unique(circuit.load_island[live])
    v = circuit.across(solution.x)
    below = live & (v < characteristics.cutoff_v[draw.characteristic])
    bad = np.zeros(circuit.islands, dtype=bool)
    bad[circuit.load_island[below]] = True
    bad[islands] |= ~solution.converged[islands]
    _, slope = draw.node(v, duty)
    proven = surely_single(circuit, draw, count, duty) & positive_definite(circuit, jacobian(circuit, count * slope))
    return [int(i) for i in islands if bad[i] or not proven[i]]


def _point(
    network: Network,
    circuit: CircuitEquations,
    draw: Drawer,
    duty: Floats,
    x: Floats,
    steps: int,
    unsolved: Ints,
) -> Point:
    plus, minus = circuit.rails(x)
    v = circuit.across(x)
    solved = ~np.isnan(v)
    held = np.where(solved, v, 0.0)
    light = np.zeros((len(network.load_place), draw.colours))
    load = np.zeros(len(network.load_place))
    drawn, lit = draw.drawn_and_lit(held, duty)
    light[circuit.alive] = np.where(solved[:, None], lit, np.nan)
    load[circuit.alive] = np.where(solved, drawn, np.nan)
    a, b = network.edge_a, network.edge_b
    edge_plus = np.where(np.isfinite(network.edge_plus_ohm), (plus[a] - plus[b]) / network.edge_plus_ohm, 0.0)
    edge_minus = np.where(np.isfinite(network.edge_minus_ohm), (minus[b] - minus[a]) / network.edge_minus_ohm, 0.0)
    # Pieces of V+ that no supply reaches float: their voltage is shown as that of V-, and nothing flows in them.
    floating = (circuit.plus[a] == KNOWN) & np.isnan(circuit.plus_given[a])
    edge_plus = np.where(floating, 0.0, edge_plus)
    supplies = len(network.supply_v)
    supply = np.zeros(supplies)
    leaves = (a >= 1) & (a <= supplies)
    np.add.at(supply, a[leaves] - 1, edge_plus[leaves])
    charge, energy = _balance(network, circuit, plus, minus, load, edge_plus, edge_minus, supply)
    return Point(
        plus_v=plus,
        minus_v=minus,
        load_a=load,
        light=light,
        edge_plus_a=edge_plus,
        edge_minus_a=edge_minus,
        supply_a=supply,
        steps=steps,
        unsolved=unsolved,
        charge_error_a=charge,
        energy_error=energy,
    )


def _balance(
    network: Network,
    circuit: CircuitEquations,
    plus: Floats,
    minus: Floats,
    load: Floats,
    edge_plus: Floats,
    edge_minus: Floats,
    supply: Floats,
) -> tuple[float, float]:
    """Return the largest imbalance of current at any place (A) and the relative imbalance of power.

    Both are counted from the edges and loads as reported, not from the solver's own residual.
    """
    a, b, place = network.edge_a, network.edge_b, network.load_place
    total = network.load_count * load
    into_plus, into_minus = np.zeros(network.places), np.zeros(network.places)
    np.add.at(into_plus, b, edge_plus)
    np.add.at(into_plus, a, -edge_plus)
    np.add.at(into_plus, place, -total)
    np.add.at(into_minus, a, edge_minus)
    np.add.at(into_minus, b, -edge_minus)
    np.add.at(into_minus, place, total)
    terminals = np.arange(1, 1 + len(network.supply_v))
    soft = ~is_stiff(network)
    inner = np.zeros(len(terminals))
    inner[soft] = (network.supply_v[soft] - plus[terminals[soft]]) / network.supply_ohm[soft]
    into_plus[terminals] += np.where(soft, inner, supply)
    # The V- terminals are the one place where current may leave.
    into_minus[: 1 + len(terminals)] = 0.0
    charge = float(np.nanmax(np.abs(np.concatenate([into_plus, into_minus])), initial=0.0))
    leaves = (a >= 1) & (a <= len(terminals))
    put_in = float(np.nansum(edge_plus[leaves] * plus[a[leaves]]))
    used = float(np.nansum(total * (plus[place] - minus[place])))
    used += float(np.nansum(edge_plus**2 * _finite(network.edge_plus_ohm)))
    used += float(np.nansum(edge_minus**2 * _finite(network.edge_minus_ohm)))
    scale = float(np.nansum(np.abs(edge_plus[leaves] * plus[a[leaves]])))
    return charge, abs(put_in - used) / scale if scale > 0.0 else abs(used)


def _finite(ohm: Floats) -> Floats:
    return np.where(np.isfinite(ohm), ohm, 0.0)


def analyse(assembly: Assembly, supply_v: Floats | None = None) -> Power:
    """Return both operating points of an Assembly and the light that is left at each node.

    Args:
        build: the display expanded.
        supply_v: what each supply gives where others load it too, V, shape (S,); its own voltage where None.

    The `coincident` point takes every colour that is lit at its full current; where all lit colours stand at 100 %
    it is the `mean` point and is not solved again.
    """
    network = assembly.network if supply_v is None else replace(assembly.network, supply_v=supply_v)
    circuit = prepare(network)
    mean = solve_network(network, network.duty, circuit)
    pulses = np.where(network.duty > 0.0, 1.0, 0.0)
    coincident = mean if np.array_equal(pulses, network.duty) else solve_network(network, pulses, circuit)
    place, characteristic = network.load_place, network.load_characteristic
    across = mean.point.plus_v[place] - mean.point.minus_v[place]
    coincident_v = coincident.point.plus_v[place] - coincident.point.minus_v[place]
    nominal = drawer(network.characteristics, characteristic).light(nominal_voltage(assembly))
    relative = np.divide(mean.point.light, nominal, out=np.zeros_like(nominal), where=nominal > 0.0)
    lit = np.where(
        (nominal > 0.0) & (network.duty[characteristic] > 0.0),
        assembly.kinds.flux_lm[characteristic] * network.duty[characteristic],
        0.0,
    )
    change = white_change(relative, lit, assembly.kinds.xy[characteristic])
    verdicts = mean.verdicts + (coincident.verdicts if coincident is not mean else ())
    return Power(
        mean=mean.point,
        coincident=coincident.point,
        alive=circuit.alive,
        across_v=across,
        coincident_v=coincident_v,
        light=change.light,
        chromaticity_shift=change.chromaticity_shift,
        lightness=change.lightness,
        relative=relative,
        verdicts=verdicts,
    )


def nominal_voltage(assembly: Assembly) -> Floats:
    """Return the voltage at which each load would give its nominal light, V, shape (G,).

    That of the light where its part states one, else that of the supply that feeds its string (of the string's first
    feed where it has no supply of its own).
    """
    network = assembly.network
    by_string = np.full(len(assembly.strings.names), np.nan)
    for row, stated in enumerate(assembly.display.strings.values()):
        names = [n for n in (stated.supply, *(f.supply for f in stated.feeds)) if n is not None]
        if names:
            by_string[row] = network.supply_v[assembly.supplies.index(names[0])]
    stated_v = assembly.kinds.nominal_v[network.load_characteristic]
    return np.where(np.isnan(stated_v), by_string[assembly.load_string], stated_v)
