"""A short written for ngspice: the same circuit without its lights, a wire across one place, supplies that limit."""

from __future__ import annotations

import shutil
import subprocess
import tempfile
from pathlib import Path
from typing import Any

from tests.outside.spice import GROUND, _Net, _write_string, quantity

Display = dict[str, Any]


def short(display: Display, place: str, opened: tuple[str, ...] = ()) -> dict[str, float]:
    """Return the currents (A) of a dead short, by name: "short", and each fuse under the name of its run.

    Args:
        display: the display as plain data, every part in the file.
        place: name of the end of something in the netlist, such as "rail joint after rail/prop02".
        opened: runs whose fuses are open already.
    """
    net = _Net()
    terminals = {name: net.new() for name in display["supplies"]}
    for name in display["strings"]:
        _write_string(net, display, name, terminals)
    # An ammeter in every fuse: its V+ side is taken apart from the run behind it.
    lines = ["short"]
    for i, (name, supply) in enumerate(display["supplies"].items()):
        lines.append(f"B{i} 0 {net.name(terminals[name])} I={_source(supply, f'V({net.name(terminals[name])})')}")
    fuses = [(a, b, what) for a, b, what in net.fuses if net.root(a) != net.root(b) or what.endswith(("fuse", "feed"))]
    ammeters = {what: k for k, (_, _, what) in enumerate(fuses)}
    for i, (a, b, ohm, what) in enumerate(net.resistors):
        if what in ammeters:
            lines.append(f"R{i} {net.name(a)} x{i} {1e12 if what in opened else ohm!r}")
            lines.append(f"Vm{ammeters[what]} x{i} {net.name(b)} DC 0")
        else:
            lines.append(f"R{i} {net.name(a)} {net.name(b)} {ohm!r}")
    plus, minus = net.ends[place]
    lines.append(f"Vshort {net.name(plus)} {net.name(minus)} DC 0")
    lines += [
        f"Rfloat{k} {n} 0 1e12" for k, n in enumerate(sorted({net.name(i) for i in range(len(net.same_as))} - {"0"}))
    ]
    lines.append(".options reltol=1e-9 abstol=1e-12 vntol=1e-9 gmin=1e-15 itl1=500")
    found = _currents("\n".join(lines) + "\n")
    assert net.name(GROUND) == "0"
    return {"short": found["vshort"]} | {what: found[f"vm{k}"] for what, k in ammeters.items()}


def _source(supply: dict[str, Any], v: str) -> str:
    """Return the current out of a supply at the voltage `v` of its terminal, as an ngspice expression."""
    volts, ohm = quantity(supply["voltage"]), quantity(supply["resistance"])
    most = quantity(supply["limit_current"])
    knee = volts - most * ohm
    at_zero = quantity(supply["limit_at_zero"]) if supply["limit"] == "foldback" else 1.0
    held = f"{most!r} * ({at_zero!r} + {1.0 - at_zero!r} * max({v}, 0) / {knee!r})"
    return f"{v} >= {knee!r} ? ({volts!r} - {v}) / {ohm!r} : {held}"


def _currents(text: str) -> dict[str, float]:
    program = shutil.which("ngspice")
    if program is None:
        raise RuntimeError("ngspice is not installed; the outside check of shorts cannot be made without it")
    control = ".control\nset filetype=ascii\nop\nwrite answer.raw\nquit\n.endc\n.end\n"
    with tempfile.TemporaryDirectory() as folder:
        Path(folder, "short.cir").write_text(text + control, encoding="ascii")
        done = subprocess.run([program, "-n", "-b", "short.cir"], cwd=folder, capture_output=True, text=True, timeout=300,
                              check=False)  # fmt: skip
        raw = Path(folder, "answer.raw")
        if not raw.exists():
            raise RuntimeError(f"ngspice found no operating point; it said:\n{(done.stdout + done.stderr)[-4000:]}")
        head, _, values = raw.read_text(encoding="ascii").partition("Values:")
    names = [line.split()[1] for line in head.partition("\nVariables:")[2].splitlines() if line.strip()]
    numbers = [float(word) for word in values.split()[1:]]
    return {name[2:-1]: number for name, number in zip(names, numbers, strict=True) if name.startswith("i(")}
