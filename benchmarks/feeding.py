"""How long a person waits for the feed plans of 500 props in 10 strings, and what is proven of them."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Iterator
from pathlib import Path

from benchmarks.child import hollowglow, run
from benchmarks.rows import Row, at_most, plain

TITLE = "Feeding: hollowglow feed FILE --json OUT, the whole command"
WALL_S = 10.0
STRINGS, PROPS = 10, 50
# Constant currents hold their light down to 7 V, switching drivers too; resistors lose a tenth with a third of a volt.
_KINDS = {
    "glow": "{light: bullet-12mm-12v, count: 4}",
    "spark": "{light: puck-6led-12v-constant-power}",
    "dot": "{light: bullet-12mm-12v-resistor}",
}
_ORDER = ("glow", "spark", "glow", "glow", "dot", "spark", "glow", "spark", "glow", "dot")


def display_text() -> str:
    """Return a display of ten strings, no two alike, each fed at its lead only and so short of voltage or fuse."""
    text = [
        f"display: {STRINGS * PROPS} props\nambient: 5 degC\ncontrollers:\n  box: {{outputs: {STRINGS}, gangs: true}}\nkinds:\n"
    ]
    text += [
        f"  {name}: {{fill: {fill}, pigtail: {{cable: cable-3x18awg, length: 150 mm}}}}\n"
        for name, fill in _KINDS.items()
    ]
    text.append("supplies:\n")
    text += [f"  shed{i}: {{part: supply-12v-350w}}\n" for i in range(STRINGS)]
    text.append("strings:\n")
    for i, kind in enumerate(_ORDER):
        text.append(
            f"  run{i}:\n    output: box/{i + 1}\n    supply: shed{i}\n    props: {PROPS} * {kind}\n"
            f"    lead: {{cable: cable-3x18awg, length: {3 + i} m}}\n"
            f"    span: {{cable: cable-3x18awg, length: {1.0 + 0.1 * i:.1f} m, joint: splice-solder}}\n"
            "    fuse: holder-blade-7.5a\n"
        )
    return "".join(text)


def rows() -> Iterator[Row]:
    """Yield the rows of this benchmark."""
    with tempfile.TemporaryDirectory() as folder:
        source, target = Path(folder, "display.yaml"), Path(folder, "feeds.json")
        source.write_text(display_text(), encoding="utf-8")
        spent = run(hollowglow("feed", str(source), "--json", str(target)), f"wrote {target}")
        found = json.loads(target.read_text(encoding="utf-8"))
    strings = found["strings"]
    if len(strings) != STRINGS or any(s["bound"] is None and s["meets"] for s in strings):
        raise RuntimeError("not every string has a plan with its bound")
    yield at_most(f"{STRINGS * PROPS} props in {STRINGS} strings: wall time", spent.wall_s, WALL_S, "s")
    yield plain("strings within their limits with the plan", sum(s["meets"] for s in strings), "")
    yield plain("of these proven the cheapest", sum(s["proven"] for s in strings if s["meets"]), "")
    within = [s for s in strings if s["meets"]]
    price, bound = sum(s["total"] for s in within), sum(s["bound"] for s in within)
    yield plain("price of all plans", price, found["currency"])
    yield plain("bound: no plans cost less than", bound, found["currency"])
    yield plain(
        "bound: no plans of cut feeds alone cost less than", sum(s["cut_bound"] for s in within), found["currency"]
    )
    yield plain("feeds in all", sum(len(s["feeds"]) for s in strings), "")
