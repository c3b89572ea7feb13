"""What was measured on the props that were built, kept in a file beside the display file.

keep("jetty.yaml", Taking(when, "photograph", ("a.jpg",), absolute=False, kinds=(Kept("float", ...), ...)))
corrections("jetty.yaml")       # {"float": 1.08, "acorn": 0.93}: measured light over computed light
"""

from hollowglow.measured.readings.correct import corrections, factors, newest
from hollowglow.measured.readings.store import KeptReading, Taking, keep, kept, store_path
from hollowglow.measured.readings.walked import Answered, answered, keep_answer, keep_place, place_of

__all__ = [
    "Answered",
    "KeptReading",
    "Taking",
    "answered",
    "corrections",
    "factors",
    "keep",
    "keep_answer",
    "keep_place",
    "kept",
    "newest",
    "place_of",
    "store_path",
]
