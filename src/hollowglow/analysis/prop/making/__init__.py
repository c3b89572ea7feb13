"""How each kind of prop is built: where to drill, what fits, what seals, what it weighs, in which order."""

from hollowglow.analysis.prop.inside.layout import Places, arrangement_of, places
from hollowglow.analysis.prop.making.analyse import KindMaking, Making, analyse
from hollowglow.analysis.prop.making.judge import judge
from hollowglow.analysis.prop.making.marks import HoleMark, girth_m, marks

__all__ = [
    "HoleMark",
    "KindMaking",
    "Making",
    "Places",
    "analyse",
    "arrangement_of",
    "girth_m",
    "judge",
    "marks",
    "places",
]
