"""What a Build costs in parts and minutes, and how it is joined."""

from strandwright.cost.analyse import Cost, analyse
from strandwright.cost.bill import Bill, Line, prop_bill
from strandwright.cost.cutlist import CutList, cut_list
from strandwright.cost.joining import Joining, Way, compare, judge
from strandwright.cost.labour import Operation, minutes_per_prop

__all__ = [
    "Bill",
    "Cost",
    "CutList",
    "Joining",
    "Line",
    "Operation",
    "Way",
    "analyse",
    "compare",
    "cut_list",
    "judge",
    "minutes_per_prop",
    "prop_bill",
]
