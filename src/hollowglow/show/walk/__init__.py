"""Lighting a display step by step and making sense of what the person saw; neither clock nor socket in here.

walk = Walk.of(layout_of(plan))         # at its first step
walk.colours(at_s)                      # (cells, 4), what is lit now
walk = walk.next(at_s)
diagnose(layout, answers)               # what the open answers mean, and what to measure next
"""

from hollowglow.show.walk.causes import Diagnosis
from hollowglow.show.walk.colours import RAMP_S, look
from hollowglow.show.walk.diagnose import diagnose
from hollowglow.show.walk.layout import Layout, PropPlace, StringPlace, layout_of
from hollowglow.show.walk.order import is_seen, judge, parse_seen, solve
from hollowglow.show.walk.steps import SORTS, TITLES, Sort, WalkStep, find, look_words, place_words, route
from hollowglow.show.walk.walk import ANSWERS, DARK, LIT, WRONG, Walk, open_answers

__all__ = [
    "ANSWERS",
    "DARK",
    "LIT",
    "RAMP_S",
    "SORTS",
    "TITLES",
    "WRONG",
    "Diagnosis",
    "Layout",
    "PropPlace",
    "Sort",
    "StringPlace",
    "Walk",
    "WalkStep",
    "diagnose",
    "find",
    "is_seen",
    "judge",
    "layout_of",
    "look",
    "look_words",
    "open_answers",
    "parse_seen",
    "place_words",
    "route",
    "solve",
]
