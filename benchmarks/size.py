"""How `hollowglow plan` grows from 10,000 to 1,000,000 nodes: wall time, peak memory, and time by step."""

from __future__ import annotations

import json
import math
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from benchmarks.child import hollowglow, run
from benchmarks.displays import NODES_A_STRING, Form, write_display
from benchmarks.rows import Row, at_most, plain

TITLE = "Size: hollowglow plan FILE --json OUT, the whole command"
WALL_S = 60.0
PEAK_GIB = 6.0
# A straight line has 1; what is above it is noise of the machine.
EXPONENT = 1.1
LARGEST = 1_000_000
_WORDS = {
    "props": "props of five wired lights",
    "single": "props of one light",
    "faulty": "props of five wired lights, findings on every string",
}
_LADDERS: dict[Form, tuple[int, ...]] = {
    "props": (10_000, 100_000, LARGEST),
    "single": (LARGEST,),
    "faulty": (100_000, LARGEST),
}


@dataclass(frozen=True)
class Measured:
    """One run: nodes, wall time (s), peak memory (GiB), seconds by step, findings, bytes of JSON."""

    nodes: int
    wall_s: float
    peak_gib: float
    timings_s: dict[str, float]
    findings: int
    written: int


def head_of(path: Path) -> dict[str, object]:
    """Return the small parts of a plan document without reading its long tables."""
    lines = []
    with path.open(encoding="utf-8") as stream:
        for line in stream:
            if line.startswith(' "nodes": ['):
                break
            lines.append(line)
    head: dict[str, object] = json.loads("".join(lines).rstrip().rstrip(",") + "}")
    return head


def measure(folder: Path, form: Form, nodes: int) -> Measured:
    """Return what planning a display of so many nodes takes."""
    source = write_display(folder, form, nodes)
    target = folder / "plan.json"
    spent = run(hollowglow("plan", str(source), "--json", str(target)), f"wrote {target}")
    head = head_of(target)
    counts, timings, findings = head["counts"], head["timings"], head["findings"]
    assert isinstance(counts, dict)
    assert isinstance(timings, dict)
    assert isinstance(findings, list)
    if counts["nodes"] != nodes or counts["strings"] != nodes // NODES_A_STRING:
        raise RuntimeError(f"the plan has {counts['nodes']} nodes in {counts['strings']} strings, not {nodes}")
    if form == "faulty" and len(findings) < nodes // NODES_A_STRING:
        raise RuntimeError(f"only {len(findings)} findings, so this does not measure a faulty display")
    written = target.stat().st_size
    target.unlink()
    source.unlink()
    return Measured(nodes, spent.wall_s, spent.peak_bytes / 2**30, timings, len(findings), written)


def _rows(form: Form, runs: list[Measured]) -> Iterator[Row]:
    for now in runs:
        what = f"{now.nodes:,} nodes in {now.nodes // NODES_A_STRING:,} strings, {_WORDS[form]}"
        if now.nodes == LARGEST:
            yield at_most(f"{what}: wall time", now.wall_s, WALL_S, "s")
            yield at_most(f"{what}: peak memory", now.peak_gib, PEAK_GIB, "GiB")
        else:
            yield plain(f"{what}: wall time", now.wall_s, "s")
            yield plain(f"{what}: peak memory", now.peak_gib, "GiB")
        yield plain(f"{what}: findings", now.findings, "")
    last = runs[-1]
    for step, seconds in last.timings_s.items():
        yield plain(f"of the {last.nodes:,}: {step}", seconds, "s")
    rest = last.wall_s - sum(last.timings_s.values())
    yield plain(f"of the {last.nodes:,}: start, {last.written / 1e6:,.0f} MB of JSON, terminal", rest, "s")
    for before, now in pairwise(runs):
        exponent = math.log(now.wall_s / before.wall_s) / math.log(now.nodes / before.nodes)
        yield at_most(f"growth from {before.nodes:,} to {now.nodes:,}: exponent of nodes", exponent, EXPONENT, "")


def rows() -> Iterator[Row]:
    """Yield the rows of this benchmark."""
    with tempfile.TemporaryDirectory() as folder:
        for form, ladder in _LADDERS.items():
            yield from _rows(form, [measure(Path(folder), form, nodes) for nodes in ladder])
