"""What an Assembly costs in parts and minutes, and how it is joined."""

from hollowglow.analysis.money.cost.analyse import Cost, analyse
from hollowglow.analysis.money.cost.bill import Bill, BillLine, bill_words, prop_bill
from hollowglow.analysis.money.cost.cutlist import CutList, cut_list
from hollowglow.analysis.money.cost.ends import End, ends
from hollowglow.analysis.money.cost.joining import Joining, JoiningWay, compare, judge
from hollowglow.analysis.money.cost.known import known_part
from hollowglow.analysis.money.cost.labour import Operation, minutes_per_prop

__all__ = [
    "Bill",
    "BillLine",
    "Cost",
    "CutList",
    "End",
    "Joining",
    "JoiningWay",
    "Operation",
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
