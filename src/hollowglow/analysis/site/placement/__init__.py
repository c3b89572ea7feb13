"""Where things are: places along lines, cables that follow from them, spacing for the eye, sag and the pull on hooks."""

from hollowglow.analysis.site.placement.analyse import PlacedDisplay, analyse
from hollowglow.analysis.site.placement.hung import Hung
from hollowglow.analysis.site.placement.judge import judge
from hollowglow.analysis.site.placement.spacing import Spacing
from hollowglow.analysis.site.placement.wall import Scaling, scale_from, scaling_of, true_wall
from hollowglow.file.reading.drawn_lengths import gaps_m, hung_line, positions
from hollowglow.physics.lines import copy, mirror, set_out

__all__ = [
    "Hung",
    "PlacedDisplay",
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
