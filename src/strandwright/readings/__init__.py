"""What was measured on the props that were built, kept in a file beside the display file.

keep("jetty.yaml", Taking(when, "photograph", ("a.jpg",), absolute=False, kinds=(Kept("float", ...), ...)))
corrections("jetty.yaml")       # {"float": 1.08, "acorn": 0.93}: measured light over computed light
"""

from strandwright.readings.correct import corrections, factors, newest
from strandwright.readings.meter import MeterReading, far_enough, intensity_cd, parse_meter
from strandwright.readings.store import Kept, Taking, keep, kept, store_path

__all__ = [
    "Kept",
    "MeterReading",
    "Taking",
    "corrections",
    "factors",
    "far_enough",
    "intensity_cd",
    "keep",
    "kept",
    "newest",
    "parse_meter",
    "store_path",
]
