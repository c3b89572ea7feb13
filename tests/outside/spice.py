"""A display's circuit written a second time, straight from its documented form, for ngspice to solve.

Nothing here may use the package under test: the two only share the words of the design. Every conductor,
joint and fuse is one resistor and every node one behavioural current source, so that nothing is lumped.
"""

from __future__ import annotations

import math
import re
import shutil
import subprocess
import tempfile
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

Display = dict[str, Any]
Point = Literal["mean", "coincident"]
Pair = tuple[int, int]

GROUND = 0
FLOATING_OHM = 1e12

_UNITS = {
    "V": 1.0, "mV": 1e-3, "W": 1.0, "mW": 1e-3, "A": 1.0, "mA": 1e-3, "ohm": 1.0, "mohm": 1e-3, "ohm/m": 1.0,
    "m": 1.0, "mm": 1e-3, "ft": 0.3048, "in": 0.0254, "degC": 1.0, "%": 0.01, "AWG": 1.0, "mm2": 1.0,
}  # fmt: skip

# IEC 60228 class 5, plain copper: the greatest resistance in ohm/km at 20 degC for each nominal area in mm2.
_IEC_60228_CLASS_5 = {0.5: 39.0, 0.75: 26.0, 1.0: 19.5, 1.5: 13.3, 2.5: 7.98, 4.0: 4.95}

_FUNCTIONS = """\
.func clip(x) {min(max(x, 0), 1)}
.func knee(u) {clip(u) * (2 - clip(u))}
.func over(x) {max(x, 0)}
"""


@dataclass(frozen=True)
class Circuit:
    """A netlist, and the two circuit nodes (v_plus, v_minus) that each light node sits between."""

    text: str
    nodes: dict[str, tuple[str, str]]


def split_quantity(text: str) -> tuple[float, str]:
    """Split "6.5 ft" into (6.5, "ft")."""
    match = re.fullmatch(r"\s*([-+]?[0-9.]+(?:[eE][-+]?[0-9]+)?)\s*(\S+)\s*", text)
    if match is None or match[2] not in _UNITS:
        raise ValueError(f"{text!r} is not a number and one of the units {', '.join(_UNITS)}")
    return float(match[1]), match[2]


def quantity(text: str) -> float:
    """Read "6.5 ft" as SI (temperatures stay in degC)."""
    value, unit = split_quantity(text)
    return value * _UNITS[unit]


def ohm_per_m(cable: dict[str, Any], conductor_c: float) -> float:
    """Resistance per metre of one conductor of `cable` at `conductor_c` (degC), from ASTM B258, IACS copper,
    IEC 60228 class 5 and IEC 60028."""
    if "resistance" in cable:
        at_20_c = quantity(cable["resistance"])
    else:
        size, unit = split_quantity(cable["size"])
        if unit == "AWG":
            diameter_mm = 0.127 * 92.0 ** ((36.0 - size) / 39.0)
            lay = 1.00 if cable.get("strand") == "solid" else 1.02
            at_20_c = lay / 58.0 / (math.pi / 4.0 * diameter_mm**2)
        else:
            at_20_c = _IEC_60228_CLASS_5[size] / 1000.0
    return at_20_c * (1.0 + 0.00393 * (conductor_c - 20.0))


def run_ohm(display: Display, run: dict[str, Any]) -> float:
    """Resistance of one conductor of a `{cable, length}` of the display, at its ambient temperature."""
    conductor_c = quantity(display.get("ambient", "20 degC"))
    cable = display["parts"][run["cable"]]["cable"]
    return quantity(run["length"]) * ohm_per_m(cable, conductor_c)


def joint_ohm(display: Display, run: dict[str, Any]) -> float:
    """Resistance of the joint named by a span, in each conductor; 0 where it names none."""
    return quantity(display["parts"][run["joint"]]["joint"]["resistance"]) if "joint" in run else 0.0


def fuse_ohm(display: Display, run: dict[str, Any]) -> float:
    """Resistance of the fuse of a string or feed: a bare rating has none, a part has its own."""
    part = display["parts"].get(run.get("fuse"))
    return 0.0 if part is None else quantity(part["fuse"]["resistance"])


def props_of(string: dict[str, Any]) -> list[str]:
    """The kind of every prop of a string, in data order."""
    stated = string["props"]
    props: list[str] = []
    for group in [stated] if isinstance(stated, str) else stated:
        times, star, kind = group.rpartition("*")
        props += [kind.strip()] * (int(times) if star else 1)
    return props


@dataclass
class _Net:
    """A netlist being written: nodes by number, resistors between them, and shorts that merge them."""

    same_as: list[int] = field(default_factory=lambda: [GROUND])
    resistors: list[tuple[int, int, float, str]] = field(default_factory=list)
    sources: list[tuple[int, float, str]] = field(default_factory=list)
    loads: list[tuple[str, Pair, dict[str, Any], float]] = field(default_factory=list)
    ends: dict[str, Pair] = field(default_factory=dict)
    fuses: list[tuple[int, int, str]] = field(default_factory=list)

    def new(self) -> int:
        self.same_as.append(len(self.same_as))
        return len(self.same_as) - 1

    def root(self, node: int) -> int:
        while self.same_as[node] != node:
            node = self.same_as[node]
        return node

    def name(self, node: int) -> str:
        root = self.root(node)
        return "0" if root == GROUND else f"n{root}"

    def link(self, a: int, b: int, ohm: float, what: str) -> None:
        if ohm == 0.0:
            low, high = sorted((self.root(a), self.root(b)))
            self.same_as[high] = low
        else:
            self.resistors.append((a, b, ohm, what))

    def onward(self, start: Pair, ohm: float, what: str, *, cut: bool = False) -> Pair:
        """Go along both conductors of something; `cut` leaves its V+ open."""
        end = (self.new(), self.new())
        if not cut:
            self.link(start[0], end[0], ohm, f"{what} v+")
        self.link(start[1], end[1], ohm, f"{what} v-")
        self.ends[what] = end
        return end

    def fused(self, start: Pair, ohm: float, what: str) -> Pair:
        end = (self.new(), start[1])
        self.link(start[0], end[0], ohm, what)
        self.fuses.append((start[0], end[0], what))
        return end

    def floating(self) -> list[str]:
        """Circuit nodes that no resistor ties, however far round, to a source or to ground."""
        neighbours: dict[str, list[str]] = {self.name(node): [] for node in range(len(self.same_as))}
        for a, b, _, _ in self.resistors:
            neighbours[self.name(a)].append(self.name(b))
            neighbours[self.name(b)].append(self.name(a))
        front = ["0", *(self.name(node) for node, _, _ in self.sources)]
        reached = set(front)
        while front:
            fresh = [near for near in neighbours[front.pop()] if near not in reached]
            reached.update(fresh)
            front += fresh
        return [name for name in neighbours if name not in reached]


def netlist(display: Display, point: Point) -> Circuit:
    """Write the circuit of `display`, full white at its levels, at the operating point `point`."""
    net = _Net()
    terminals: dict[str, int] = {}
    for supply_id, supply in display["supplies"].items():
        ideal, terminals[supply_id] = net.new(), net.new()
        net.sources.append((ideal, quantity(supply["voltage"]), supply_id))
        net.link(
            ideal,
            terminals[supply_id],
            quantity(supply.get("resistance", "0 ohm")),
            f"{supply_id} resistance",
        )
    for string_id in display["strings"]:
        _write_string(net, display, string_id, terminals)

    lines = [f"display, {point}", _FUNCTIONS.rstrip()]
    lines += [f"V{i} {net.name(node)} 0 DC {volts!r}" for i, (node, volts, _) in enumerate(net.sources)]
    lines += [
        f"* {what}\nR{i} {net.name(a)} {net.name(b)} {ohm!r}" for i, (a, b, ohm, what) in enumerate(net.resistors)
    ]
    lines += [f"Rfloat{i} {name} 0 {FLOATING_OHM!r}" for i, name in enumerate(net.floating())]
    nodes = {node_id: (net.name(plus), net.name(minus)) for node_id, (plus, minus), _, _ in net.loads}
    for i, (node_id, _, load, level) in enumerate(net.loads):
        plus, minus = nodes[node_id]
        across = f"V({plus})" if minus == "0" else f"V({plus},{minus})"
        lines.append(f"* {node_id}\nB{i} {plus} {minus} I={_load_current(load, level, point, across)}")

    highest_v = max(volts for _, volts, _ in net.sources)
    fixed = {net.name(node) for node, _, _ in net.sources}
    upper = dict.fromkeys(plus for plus, _ in nodes.values() if plus not in fixed)
    lines += [f".nodeset v({name})={highest_v!r}" for name in upper]
    lines.append(".options reltol=1e-9 abstol=1e-12 vntol=1e-9 gmin=1e-15 itl1=500")
    return Circuit("\n".join(lines) + "\n", nodes)


def _write_string(net: _Net, display: Display, string_id: str, terminals: dict[str, int]) -> None:
    string = display["strings"][string_id]
    feeds = string.get("feeds", [])
    cuts = {feed["before"] for feed in feeds if feed.get("cut", False)}
    props = props_of(string)
    here = net.fused((terminals[string["supply"]], GROUND), fuse_ohm(display, string), f"{string_id}/fuse")
    here = net.onward(here, run_ohm(display, string["lead"]), f"{string_id}/lead", cut=1 in cuts)
    for number, kind_id in enumerate(props, start=1):
        kind, prop_id = display["kinds"][kind_id], f"{string_id}/prop{number:02d}"
        for feed in feeds:
            if feed["before"] == number:
                what = f"{prop_id} feed"
                from_supply = (terminals[feed["supply"]], GROUND)
                end = net.onward(net.fused(from_supply, fuse_ohm(display, feed), what), run_ohm(display, feed), what)
                net.link(end[0], here[0], 0.0, what)
                net.link(end[1], here[1], 0.0, what)
        pigtail = run_ohm(display, kind["pigtail"]) if "pigtail" in kind else 0.0
        here = net.onward(here, pigtail, f"{prop_id} in")
        fill = kind["fill"]
        wiring = run_ohm(display, fill["wiring"]) if "wiring" in fill else 0.0
        for index in range(1, fill.get("count", 1) + 1):
            if index > 1:
                here = net.onward(here, wiring, f"{prop_id} wiring")
            level = quantity(display.get("levels", {}).get(kind_id, "100 %"))
            load = display["parts"][fill["light"]]["light"]["load"]
            net.loads.append((f"{prop_id}/node{index}", here, load, level))
        if number < len(props):
            joint, span = joint_ohm(display, string["span"]), run_ohm(display, string["span"])
            here = net.onward(here, pigtail, f"{prop_id} out")
            here = net.onward(here, joint, f"{string_id} joint after {prop_id}")
            here = net.onward(here, span, f"{string_id} span after {prop_id}", cut=number + 1 in cuts)
            here = net.onward(here, joint, f"{string_id} joint before next")


def _load_current(load: dict[str, Any], level: float, point: Point, v: str) -> str:
    """The current of one node as an ngspice expression of `v`, the voltage across it."""
    duty = level if point == "mean" else math.ceil(level)
    if load["class"] == "constant-current":
        saturation = quantity(load["saturation"])
        pairs = zip(load["current"], load["turn_on"], strict=True)
        colours = [f"{quantity(i)!r}*knee(({v}-{quantity(on)!r})/{saturation!r})" for i, on in pairs]
    elif load["class"] == "resistor":
        pairs = zip(load["forward"], load["resistor"], strict=True)
        colours = [
            f"{load['parallel']}*over({v}-{load['series'] * quantity(forward)!r})/{quantity(resistor)!r}"
            for forward, resistor in pairs
        ]
    elif load["class"] == "constant-power":
        cutoff, efficiency = quantity(load["cutoff"]), float(load["efficiency"])
        colours = [
            f"({v}>={cutoff!r} ? {quantity(power) / efficiency!r}/max({v},{cutoff!r}) : 0)" for power in load["power"]
        ]
    else:
        raise ValueError(f"{load['class']!r} is no load class of the design")
    return f"{quantity(load['idle'])!r}*clip({v})+{duty!r}*({'+'.join(colours)})"


def solve(circuit: Circuit) -> dict[str, tuple[float, float]]:
    """Have ngspice find the operating point; (v_plus, v_minus) in volts above ground for every node id."""
    program = shutil.which("ngspice")
    if program is None:
        raise RuntimeError("ngspice is not installed; the outside check of the circuit cannot be made without it")
    control = ".control\nset filetype=ascii\nop\nwrite answer.raw\nquit\n.endc\n.end\n"
    with tempfile.TemporaryDirectory() as folder:
        Path(folder, "display.cir").write_text(circuit.text + control, encoding="ascii")
        done = subprocess.run(
            [program, "-n", "-b", "display.cir"],
            cwd=folder,
            capture_output=True,
            text=True,
            timeout=300,
            check=False,
        )
        raw = Path(folder, "answer.raw")
        volts = _read_raw(raw.read_text(encoding="ascii")) if raw.exists() else {}
    volts["0"] = 0.0
    missing = {name for pair in circuit.nodes.values() for name in pair} - volts.keys()
    if missing:
        said = (done.stdout + done.stderr)[-4000:]
        raise RuntimeError(f"ngspice found no operating point ({len(missing)} voltages missing); it said:\n{said}")
    return {node_id: (volts[plus], volts[minus]) for node_id, (plus, minus) in circuit.nodes.items()}


def _read_raw(raw: str) -> dict[str, float]:
    """Node voltages of an operating point in ngspice's ASCII form; none if the file holds anything else."""
    head, _, values = raw.partition("Values:")
    if "Plotname: Operating Point" not in head:
        return {}
    names = [line.split()[1] for line in head.partition("\nVariables:")[2].splitlines() if line.strip()]
    numbers = [float(word) for word in values.split()[1:]]
    return {name[2:-1]: number for name, number in zip(names, numbers, strict=True) if name.startswith("v(")}
