"""What the circuit does at an operating point, and what that does to the light: frozen results."""

from __future__ import annotations

from dataclasses import dataclass

from hollowglow.analysis.circuit.power.network.branch import Verdict
from hollowglow.assembly.tables import Flags, Floats, Ints


@dataclass(frozen=True)
class Point:
    """One operating point. Where an island has no steady state its numbers are NaN.

    Attributes:
        plus_v, minus_v: volts above the common V- terminal by place, shape (places,).
        load_a: current of one node by load, A, shape (G,).
        light: what the light of each colour is proportional to at full duty, by load, shape (G, c).
        edge_plus_a: V+ current along an edge from a to b, A, shape (E,).
        edge_minus_a: V- current along an edge from b to a, A, shape (E,).
        supply_a: current out of each supply, A, shape (S,).
        steps: Newton steps.
        unsolved: live loads whose island did not come to rest, for no reason that a verdict gives, rows.
        charge_error_a: largest sum of currents at a place that is not zero, A.
        energy_error: power put in less power used, over power put in.
    """

    plus_v: Floats
    minus_v: Floats
    load_a: Floats
    light: Floats
    edge_plus_a: Floats
    edge_minus_a: Floats
    supply_a: Floats
    steps: int
    unsolved: Ints
    charge_error_a: float
    energy_error: float


@dataclass(frozen=True)
class Power:
    """Both operating points of an Assembly, and the light that is left.

    Attributes:
        mean: duty-weighted currents: heat, fuses, energy.
        together: every pulse coincides: the lowest voltage that a lit LED sees.
        alive: loads that some supply reaches, shape (G,).
        across_v, coincident_v: voltage across each load at the two points, V, shape (G,).
        light: light of a node's white over its nominal light at `mean`, shape (G,).
        chromaticity_shift: distance of that white from the nominal one in u'v', shape (G,).
        relative: light of each colour over its nominal light at `mean`, shape (G, c).
        lightness: CIE 1976 L* of the light that is left, shape (G,).
        verdicts: islands without exactly one steady state.
    """

    mean: Point
    coincident: Point
    alive: Flags
    across_v: Floats
    coincident_v: Floats
    light: Floats
    chromaticity_shift: Floats
    lightness: Floats
    relative: Floats
    verdicts: tuple[Verdict, ...]
