"""Some of the drawn circuits against ngspice and against the solver of single circuits."""

from __future__ import annotations

import re

import numpy as np
import pytest

from hollowglow.analysis.circuit.power import solve_network
from hollowglow.analysis.circuit.tolerance.parts import Adder, sampled_network
from hollowglow.analysis.circuit.tolerance.sample import SampledParts, Sampler
from hollowglow.analysis.circuit.tolerance.solve import Solver
from hollowglow.assembly import Assembly, expand
from hollowglow.assembly.ids import cable_ids, joint_ids, node_ids
from hollowglow.file import load_text
from tests.outside.displays import dump, random_display
from tests.outside.spice import Circuit, Display, Point, netlist, solve

SEEDS = (0, 1, 2, 3, 5, 8, 13, 21)
SAMPLES = 40
SHOWN = (0, 39)
SPICE_V = 1e-4
# Both come to rest within this of Kirchhoff's laws.
RESIDUAL_V = 2e-6


def straying(seed: int) -> tuple[Display, Assembly]:
    """A random display with tolerances that hurt: pieces of cable by themselves, one contact in twenty bad."""
    display = random_display(seed)
    display["tolerances"] = {
        "light_current": "10 %",
        "cable_resistance": "6 %",
        "cable_varies": "by the piece",
        "bad_joints": "5 %",
        "bad_joint": "40 mohm",
    }
    return display, expand(load_text(dump(display)))


def drawn(assembly: Assembly, samples: int) -> SampledParts:
    return Sampler(assembly, assembly.display.tolerances, 1).everything(np.arange(samples))


class _Parts:
    """What each resistor of a netlist has in one sample, told by the comment before it."""

    def __init__(self, assembly: Assembly, sampled: SampledParts, sample: int) -> None:
        self.cable = dict(zip(cable_ids(assembly), sampled.cable[:, sample] * sampled.copper[sample], strict=True))
        contacts = {"v+": sampled.joint_plus_ohm, "v-": sampled.joint_minus_ohm}
        self.joint = {r: dict(zip(joint_ids(assembly), ohm[:, sample], strict=True)) for r, ohm in contacts.items()}
        self.span = ""
        self.seen: dict[str, int] = {}

    def ohm(self, what: str, stated_ohm: float) -> float:
        thing, _, rail = what.rpartition(" ")
        if rail not in self.joint:  # a fuse or a supply's own resistance
            return stated_ohm
        if "joint" in thing:
            string, after = thing.split()[0], re.search(r"after \S+/prop(\d+)", thing)
            if after:
                self.span = f"{string}/span{after[1]}"
            return float(self.joint[rail][f"{self.span}/joint{1 if after else 2}"])
        if " span after " in thing:
            string, number = thing.split()[0], thing[-2:]
            return stated_ohm * float(self.cable[f"{string}/span{number}"])
        if thing.endswith("/lead"):
            return stated_ohm * float(self.cable[thing])
        prop, _, role = thing.partition(" ")
        if role == "wiring":
            self.seen[what] = self.seen.get(what, 0) + 1
            return stated_ohm * float(self.cable[f"{prop}/wire{self.seen[what]}"])
        if role == "feed":
            return stated_ohm * float(self.cable[prop.replace("/prop", "/feed")])
        return stated_ohm * float(self.cable[f"{prop}/{role}"])


def redrawn(display: Display, assembly: Assembly, sampled: SampledParts, sample: int, point: Point) -> Circuit:
    """The netlist of the display as stated, with each source, resistor and light as sampled."""
    stated = netlist(display, point)
    parts = _Parts(assembly, sampled, sample)
    light = dict(zip(node_ids(assembly), sampled.current[:, sample], strict=True))
    sources = iter(sampled.supply[:, sample].tolist())
    what, lines = "", []
    for line in stated.text.splitlines():
        head, _, last = line.rpartition(" ")
        if line.startswith("* "):
            what = line[2:]
        elif line.startswith("V"):
            line = f"{head} {float(last) * next(sources)!r}"
        elif re.match(r"R\d", line):
            line = f"{head} {parts.ohm(what, float(last))!r}"
        elif line.startswith("B"):
            head, _, current = line.partition(" I=")
            idle, _, rest = current.partition("+")
            line = f"{head} I={idle}+{float(light[what])!r}*({rest})"
        lines.append(line)
    return Circuit("\n".join(lines) + "\n", stated.nodes)


@pytest.mark.parametrize("seed", SEEDS)
def test_drawn_circuits_agree_with_ngspice(seed: int) -> None:
    display, assembly = straying(seed)
    sampled = drawn(assembly, SAMPLES)
    points = Solver(assembly).solve(Adder(assembly).deviations(sampled))[:2]
    live = Solver(assembly).circuit.alive
    row = np.cumsum(live) - 1
    for point, rest in zip(("mean", "coincident"), points, strict=True):
        for sample in SHOWN:
            theirs = solve(redrawn(display, assembly, sampled, sample, point))  # type: ignore[arg-type]
            across = np.array([plus - minus for plus, minus in (theirs[name] for name in node_ids(assembly))])
            load = assembly.nodes.load
            ours = rest.across_v[row[load], sample]
            assert live[load].all()
            assert np.abs(ours - across).max() < SPICE_V


@pytest.mark.parametrize("seed", range(36))
def test_draws_solved_together_are_those_solved_one_by_one(seed: int) -> None:
    _, assembly = straying(seed)
    deviations = Adder(assembly).deviations(drawn(assembly, SAMPLES))
    solver = Solver(assembly)
    mean, _, _ = solver.solve(deviations)
    network = assembly.network
    place = network.load_place[solver.circuit.alive]
    for sample in range(0, SAMPLES, 8):
        alone = solve_network(sampled_network(network, deviations, sample), network.duty[network.load_characteristic])
        point = alone.point
        if mean.settled[sample]:
            assert not alone.verdicts
            across = point.plus_v[place] - point.minus_v[place]
            assert np.abs(across - mean.across_v[:, sample]).max() < RESIDUAL_V
            assert np.abs(point.supply_a - mean.supply_a[:, sample]).max() < 1e-4
            fuses = point.edge_plus_a[assembly.fuses.edge]
            assert np.abs(fuses - mean.edge_plus_a[:, sample]).max(initial=0.0) < 1e-4
        else:
            assert alone.verdicts or len(point.unsolved)
