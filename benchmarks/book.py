"""The build book: the demo's, and that of a display with 500 props in 25 strings, as commands of their own."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path

from benchmarks.child import hollowglow, run
from benchmarks.rows import Row, at_most

TITLE = "Build book as PDF"
DEMO_S = 5.0
LARGE_S = 30.0
TIMES = 3
_STRINGS = 25
_PROPS = 20
_HEAD = """\
display: Five hundred props
supplies:
{supplies}
controllers:
  box: {{outputs: 32, nodes_per_output: 600, gangs: true}}
kinds:
  float:
    shell: {{shape: sphere, diameter: 150 mm, mass: 150 g}}
    carrier: {{shape: disc, diameter: 90 mm, above_base: 70 mm}}
    fill: {{light: bullet-12mm-12v, count: 5}}
    pigtail: {{cable: cable-3x18awg, length: 150 mm}}
    gland: {{part: gland-pg7, count: 2}}
    hook: hook-steel-s
strings:
{strings}
"""
_SUPPLY = "  shed{n:02d}: {{part: supply-12v-150w}}"
_STRING = """\
  row{n:02d}:
    output: box/{n}
    supply: shed{n:02d}
    props: {props} * float
    lead: {{cable: cable-3x18awg, length: 4 m}}
    span: {{cable: cable-3x18awg, length: 1.5 m, joint: splice-solder}}
    fuse: holder-blade-5a
    feeds: [{{before: 11, supply: shed{n:02d}, cable: cable-3x18awg, length: 18 m, fuse: holder-blade-5a}}]"""


def display_text() -> str:
    """Return the display file of the large book."""
    rows = range(1, _STRINGS + 1)
    return _HEAD.format(
        supplies="\n".join(_SUPPLY.format(n=n) for n in rows),
        strings="\n".join(_STRING.format(n=n, props=_PROPS) for n in rows),
    )


def rows() -> Iterator[Row]:
    """Yield the rows of this benchmark."""
    with tempfile.TemporaryDirectory() as folder:
        run(hollowglow("demo", f"{folder}/demo"), "wrote")
        large = Path(folder, "large.yaml")
        large.write_text(display_text(), encoding="utf-8")
        for file, words, limit_s in (
            (f"{folder}/demo/landing-mended.yaml", "the demo", DEMO_S),
            (str(large), "500 props in 25 strings", LARGE_S),
        ):
            command = hollowglow("book", file, "-o", f"{folder}/book.pdf")
            spent = [run(command, "wrote") for _ in range(TIMES)]
            yield at_most(f"{words}: wall time, best of {TIMES}", min(s.wall_s for s in spent), limit_s, "s")
