"""Where things are: places along lines, cables that follow from them, spacing for the eye, sag and the pull on hooks."""

from strandwright.display.drawn import gaps_m, hung_line, positions
from strandwright.physics.lines import copy, mirror, set_out
from strandwright.place.analyse import Placed, analyse
from strandwright.place.hung import Hung
from strandwright.place.judge import judge
from strandwright.place.spacing import Spacing
from strandwright.place.wall import Scaling, scale_from, scaling_of, true_wall

__all__ = [
    "Hung",
    "Placed",
    "Scaling",
    "Spacing",
    "analyse",
    "copy",
    "gaps_m",
    "hung_line",
    "judge",
    "mirror",
    "positions",
    "scale_from",
    "scaling_of",
    "set_out",
    "true_wall",
]
