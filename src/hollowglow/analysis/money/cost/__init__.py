"""What a Build costs in parts and minutes, and how it is joined."""

from strandwright.cost.analyse import Cost, analyse
from strandwright.cost.bill import Bill, Line, bill_words, prop_bill
from strandwright.cost.cutlist import CutList, cut_list
from strandwright.cost.ends import End, ends
from strandwright.cost.joining import Joining, Way, compare, judge
from strandwright.cost.known import known_part
from strandwright.cost.labour import Operation, minutes_per_prop

__all__ = [
    "Bill",
    "Cost",
    "CutList",
    "End",
    "Joining",
    "Line",
    "Operation",
    "Way",
    "analyse",
    "bill_words",
    "compare",
    "cut_list",
    "ends",
    "judge",
    "known_part",
    "minutes_per_prop",
    "prop_bill",
]
