"""A photograph of 24 megapixels with 60 lit props: found, numbered and measured, as a command of its own."""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from benchmarks.child import hollowglow, run
from benchmarks.rows import Row, at_most, plain

TITLE = "Photographs: 24 megapixels, 60 lit props, JPEG"
WALL_S = 3.0
PEAK_GIB = 1.0
TIMES = 3
# Made in a process of its own: the peak of a child counts from its fork.
_MAKE = """
import sys
from tests.measured.photo import made
from tests.measured.photo.made import Prop
props = [Prop(500 + 700 * (i // 12), 250 + 500 * (i % 12), 90, 0.2 + 0.1 * (i % 4)) for i in range(60)]
light = made.through_lens(made.radiance((4000, 6000), props, 0.001), 1.5)
for name, scale, time_s in (("a", 1.0, 1 / 30), ("b", 0.5, 1 / 60), ("c", 0.25, 1 / 120)):
    codes = made.encoded(made.noisy(scale * light, 1))
    open(f"{sys.argv[1]}/{name}.jpg", "wb").write(made.as_jpeg(codes, exif=made.exif(time_s)))
"""
_DISPLAY = """\
display: Row
kinds:
  float:
    shell: {shape: sphere, diameter: 150 mm}
    fill: {light: bullet-12mm-12v, count: 4}
"""


def rows() -> Iterator[Row]:
    """Yield the rows of this benchmark."""
    with tempfile.TemporaryDirectory() as folder:
        run([sys.executable, "-c", _MAKE, folder])
        display = Path(folder, "row.yaml")
        display.write_text(_DISPLAY, encoding="utf-8")
        pictures = [str(Path(folder, f"{name}.jpg")) for name in "abc"]
        for count, words in ((1, "one photograph"), (3, "three exposures")):
            command = hollowglow("match", str(display), "--photo", *pictures[:count])
            spent = [run(command, "60 lit props") for _ in range(TIMES)]
            wall, peak = min(s.wall_s for s in spent), max(s.peak_bytes for s in spent) / 2**30
            if count == 1:
                yield at_most(f"{words} to its numbered picture: wall time, best of 3", wall, WALL_S, "s")
                yield at_most(f"{words}: peak memory", peak, PEAK_GIB, "GiB")
            else:
                yield plain(f"{words} to the numbered picture: wall time, best of 3", wall, "s")
                yield plain(f"{words}: peak memory", peak, "GiB")
