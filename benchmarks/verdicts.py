"""Lines of constant-power drivers that are hard to judge: how long until it is known how many steady states they have."""

from __future__ import annotations

import time
from collections.abc import Iterator
from typing import Any

from benchmarks.rows import Row, at_most, plain
from hollowglow.analysis.circuit.power import analyse
from hollowglow.assembly import Assembly, expand
from hollowglow.file import load_text

TITLE = "Verdicts: constant-power drivers on weak lines"
LIMIT_S = 5.0
_FILE = """\
display: Drivers
supplies: {{shed: {{voltage: 12 V, rating: 1000 W}}}}
controllers: {{box: {{outputs: {strings}}}}}
parts:
  driver:
    light:
      emitters: 3
      load: {{class: constant-power, power: [{watts} W, {watts} W, {watts} W], efficiency: 0.85, cutoff: {cutoff}, idle: 1 mA}}
  wire: {{cable: {{resistance: {ohm} ohm/m}}}}
kinds: {{float: {{fill: {{light: driver}}}}}}
strings:
"""
_STRING = """\
  rail{i}:
    output: box/{i}
    supply: shed
    props: {props} * float
    lead: {{cable: wire, length: 1 m}}
    span: {{cable: wire, length: 1 m}}
"""


def rows() -> Iterator[Row]:
    """Yield the rows of this benchmark."""
    slowest, which = 0.0, ""
    for watts in (0.002, 0.02, 0.2, 2.0):
        for cutoff in ("0.3 V", "3 V", "7 V"):
            took, _ = _timed(_build(watts=watts, cutoff=cutoff, ohm=0.3, strings=1, props=80))
            if took > slowest:
                slowest, which = took, f"{watts:g} W a colour, cutoff {cutoff}"
    yield at_most(f"80 drivers at 0.3 ohm/m, slowest of 12 ({which})", slowest, LIMIT_S, "s")
    took, verdicts = _timed(_build(watts=0.3, cutoff="3 V", ohm=0.05, strings=20, props=60))
    yield at_most("20 strings of 60 drivers", took, LIMIT_S, "s")
    yield plain("of these, strings that cannot be carried or have two steady states", verdicts, "")


def _build(strings: int, props: int, **values: Any) -> Assembly:
    text = _FILE.format(strings=strings, **values)
    text += "".join(_STRING.format(i=i, props=props) for i in range(1, strings + 1))
    return expand(load_text(text))


def _timed(assembly: Assembly) -> tuple[float, int]:
    begin = time.process_time()
    power = analyse(assembly)
    return time.process_time() - begin, len(power.verdicts)
