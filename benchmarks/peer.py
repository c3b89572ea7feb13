"""The peer: the same arrays as a netlist for ngspice, written the way that ngspice is fastest with.

No start values are given: one `.nodeset` for each of 20,000 nodes makes ngspice 50 times slower, because it searches
all nodes for each of them. The built-in functions u2 (0 to 1 and flat on either side) say the knees most briefly;
MOSFETs of level 1, whose square law is the same, need five times the unknowns and take longer.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from hollowglow.assembly import Network
from hollowglow.assembly.tables import Floats
from hollowglow.file.model.loads import CLASSES
from hollowglow.physics.loads import IDLE_RAMP_V


@dataclass(frozen=True)
class Answer:
    """What ngspice said; voltages are NaN, and `why` is not empty, where it found none.

    Attributes:
        plus_v, minus_v: by place, V, shape (places,).
        run_s: wall time of the whole run: reading, solving, writing the answer in binary.
        analysis_s: what ngspice itself counts as analysis, NaN where it printed none.
        iterations: as it prints them, 0 where it printed none.
        why: what went wrong.
    """

    plus_v: Floats
    minus_v: Floats
    run_s: float
    analysis_s: float
    iterations: int
    why: str


def _characteristic(network: Network, characteristic: int, across: str) -> str:
    """Return the current of one node as an expression of the voltage across it."""
    characteristics = network.characteristics
    if CLASSES[characteristics.code[characteristic]] != "constant-current":
        raise ValueError("this netlist knows constant-current lights only")
    saturation = float(characteristics.columns["saturation_v"][characteristic])
    terms = [f"{float(characteristics.idle_a[characteristic])!r}*u2({across}/{IDLE_RAMP_V!r})"]
    columns = zip(
        characteristics.columns["full_a"][characteristic].tolist(),
        characteristics.columns["turn_on_v"][characteristic].tolist(),
        network.duty[characteristic].tolist(),
        strict=True,
    )
    for full, turn_on, duty in columns:
        if full * duty > 0.0:
            u = f"u2(({across}-{turn_on!r})/{saturation!r})"
            terms.append(f"{full * duty!r}*{u}*(2-{u})")
    return "+".join(terms)


def netlist(network: Network) -> str:
    """Return the network as a netlist, one resistor for each edge of each rail and one source for each load."""
    return "\n".join(_lines(network)) + "\n"


def _lines(network: Network) -> Iterator[str]:
    supplies = len(network.supply_v)
    ohms = np.concatenate([network.edge_plus_ohm, network.edge_minus_ohm, network.supply_ohm])
    if not (np.isfinite(ohms) & (ohms > 0.0)).all() or not (network.load_count == 1.0).all():
        raise ValueError("this netlist needs closed edges with resistance and one light at each load")

    def minus(place: int) -> str:
        return "0" if place <= supplies else f"m{place}"

    yield "the network"
    for i, (volts, ohm) in enumerate(zip(network.supply_v.tolist(), network.supply_ohm.tolist(), strict=True)):
        yield f"V{i} ideal{i} 0 {volts!r}"
        yield f"RS{i} ideal{i} p{i + 1} {ohm!r}"
    edges = zip(
        network.edge_a.tolist(),
        network.edge_b.tolist(),
        network.edge_plus_ohm.tolist(),
        network.edge_minus_ohm.tolist(),
        strict=True,
    )
    for i, (a, b, plus_ohm, minus_ohm) in enumerate(edges):
        yield f"RP{i} p{a} p{b} {plus_ohm!r}"
        yield f"RM{i} {minus(a)} {minus(b)} {minus_ohm!r}"
    for i, (place, characteristic) in enumerate(
        zip(network.load_place.tolist(), network.load_characteristic.tolist(), strict=True)
    ):
        yield f"B{i} p{place} m{place} I={_characteristic(network, characteristic, f'V(p{place},m{place})')}"


def version() -> str:
    """Return the version of the installed ngspice."""
    said = subprocess.run([_program(), "-v"], capture_output=True, text=True, check=False).stdout
    found = re.search(r"ngspice-(\S+)", said)
    return found[1] if found else "unknown"


def _program() -> str:
    program = shutil.which("ngspice")
    if program is None:
        raise RuntimeError("ngspice is not installed; lock/apt.txt lists it")
    return program


def solve(network: Network, limit_s: float) -> Answer:
    """Return ngspice's operating point of a network, with its default tolerances.

    Args:
        network: of constant-current lights only.
        limit_s: after so many seconds it is stopped.
    """
    program = _program()
    control = ".control\nop\nrusage time totiter\nwrite answer.raw\nquit\n.endc\n.end\n"
    with tempfile.TemporaryDirectory() as folder:
        Path(folder, "network.cir").write_text(netlist(network) + control, encoding="ascii")
        begin = time.perf_counter()
        try:
            done = subprocess.run(
                [program, "-n", "-b", "network.cir"],
                cwd=folder,
                capture_output=True,
                text=True,
                timeout=limit_s,
                check=False,
            )
        except subprocess.TimeoutExpired:
            return _nothing(network, time.perf_counter() - begin, f"stopped after {limit_s:g} s without an answer")
        run_s = time.perf_counter() - begin
        raw = Path(folder, "answer.raw")
        volts = _read(raw.read_bytes()) if raw.exists() else {}
    said = done.stdout + done.stderr
    if f"p{len(network.supply_v) + 1}" not in volts:
        lines = [line.strip() for line in said.splitlines() if re.search("error|fail|singular|converge", line, re.I)]
        return _nothing(network, run_s, "; ".join(dict.fromkeys(lines))[:200] or "no operating point")
    analysis = re.search(r"Total analysis time \(seconds\) = (\S+)", said)
    iterations = re.search(r"Total iterations = (\d+)", said)
    grounded = 1 + len(network.supply_v)
    plus = [volts.get(f"p{i}", np.nan) for i in range(network.places)]
    minus = [0.0 if i < grounded else volts[f"m{i}"] for i in range(network.places)]
    return Answer(
        np.array(plus),
        np.array(minus),
        run_s,
        float(analysis[1]) if analysis else np.nan,
        int(iterations[1]) if iterations else 0,
        "",
    )


def _nothing(network: Network, run_s: float, why: str) -> Answer:
    nothing = np.full(network.places, np.nan)
    return Answer(nothing, nothing, run_s, np.nan, 0, why)


def _read(raw: bytes) -> dict[str, float]:
    """Return the voltages of an operating point in ngspice's binary form."""
    head, _, body = raw.partition(b"Binary:\n")
    if b"Plotname: Operating Point" not in head:
        return {}
    lines = head.decode("ascii").partition("\nVariables:")[2].splitlines()
    names = [line.split()[1] for line in lines if line.strip()]
    values = np.frombuffer(body, dtype="<f8", count=len(names)).tolist()
    return {name[2:-1]: value for name, value in zip(names, values, strict=True) if name.startswith("v(")}
