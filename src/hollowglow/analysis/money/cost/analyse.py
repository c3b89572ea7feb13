"""From an Assembly to its bill, its minutes and both ways of joining it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from hollowglow.analysis.money.cost.bill import Bill, bill
from hollowglow.analysis.money.cost.joining import Joining, compare
from hollowglow.analysis.money.cost.labour import Operation, operations
from hollowglow.assembly import Assembly
from hollowglow.assembly.tables import Floats


@dataclass(frozen=True)
class Cost:
    """What the display costs; `work` is minutes times the stated hour, 0 where none is stated."""

    bill: Bill
    operations: tuple[Operation, ...]
    minutes: float
    work: float
    joining: tuple[Joining, ...]


def analyse(assembly: Assembly, plus_a: Floats, minus_a: Floats) -> Cost:
    """Return the cost of an Assembly.

    Args:
        build: the display expanded.
        plus_a, minus_a: current of each network edge at full white, A, for the volts lost either way of joining.
    """
    done = operations(assembly)
    minutes = math.fsum(o.minutes for o in done)
    work = round(minutes / 60.0 * assembly.display.labour.hour, 2)
    return Cost(bill(assembly), done, minutes, work, compare(assembly, plus_a, minus_a))
