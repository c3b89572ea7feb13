"""What was measured on the props that were built, kept in a file beside the display file.

keep("jetty.yaml", Taking(when, "photograph", ("a.jpg",), absolute=False, kinds=(Kept("float", ...), ...)))
corrections("jetty.yaml")       # {"float": 1.08, "acorn": 0.93}: measured light over computed light
"""

from strandwright.readings.correct import corrections, factors, newest
from strandwright.readings.meter import MeterReading, far_enough, intensity_cd, parse_meter
from strandwright.readings.store import Kept, Taking, keep, kept, store_path
from strandwright.readings.walked import Answered, answered, keep_answer, keep_place, place_of

__all__ = [
    "Answered",
    "Kept",
    "MeterReading",
    "Taking",
    "answered",
    "corrections",
    "factors",
    "far_enough",
    "intensity_cd",
    "keep",
    "keep_answer",
    "keep_place",
    "kept",
    "newest",
    "parse_meter",
    "place_of",
    "store_path",
]
