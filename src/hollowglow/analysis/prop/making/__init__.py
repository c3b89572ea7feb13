"""How each kind of prop is built: where to drill, what fits, what seals, what it weighs, in which order."""

from strandwright.inside.layout import Places, arrangement_of, places
from strandwright.making.analyse import KindMaking, Making, analyse
from strandwright.making.judge import judge
from strandwright.making.marks import Mark, girth_m, marks

__all__ = ["KindMaking", "Making", "Mark", "Places", "analyse", "arrangement_of", "girth_m", "judge", "marks", "places"]
