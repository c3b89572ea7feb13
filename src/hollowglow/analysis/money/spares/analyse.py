"""From the bill of an Assembly to its spares."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from hollowglow.analysis.money.cost import Bill, BillLine, bill_words, cut_list, known_part
from hollowglow.analysis.money.spares.choose import chance_of, choose
from hollowglow.assembly import Assembly

_UNPRICED = 1.0
_LEAST_PRICE = 0.01


@dataclass(frozen=True, slots=True)
class Spare:
    """One part of the bill and what is kept of it.

    Attributes:
        part, about: as on the bill.
        fitted: how many are in the display; of a cable, pieces.
        failures: share that fails in a season.
        basis: where that share comes from: what the part states, or "estimate".
        expected: failures in a season on average.
        spares: how many are kept; of a cable, pieces.
        quantity, unit: what to buy for it; of a cable so many metres that the longest piece can be cut so often.
        chance: that these spares last.
        total: what they cost, None where no price is known.
    """

    part: str
    about: str
    fitted: int
    failures: float
    basis: str
    expected: float
    spares: int
    quantity: float
    unit: str
    chance: float
    total: float | None


@dataclass(frozen=True, slots=True)
class SparesList:
    """Every part with its spares, those of which none is kept too.

    Attributes:
        rows: in the order of the bill.
        asked: the stated chance.
        chance: the chance to finish the season without buying, all parts together.
        total: what the spares with a price cost.
        currency: of the prices.
        unpriced: parts of which spares are kept whose price is not known; they count as 1 of the currency in choosing.
    """

    rows: tuple[Spare, ...]
    asked: float
    chance: float
    total: float
    currency: str
    unpriced: tuple[str, ...]


def analyse(assembly: Assembly, bill: Bill) -> SparesList:
    """Return the spares of a display for the chance that it states.

    Args:
        build: the display expanded.
        bill: its bill.
    """
    stated = assembly.display.spares
    pieces = _pieces(assembly)
    lines = [line for line in bill.lines if line.quantity > 0]
    fitted, failing, basis, price, longest = [], [], [], [], []
    for line in lines:
        count, length_m = pieces.get(line.part, (0, 0.0)) if line.unit == "m" else (math.ceil(line.quantity), 0.0)
        share, why = _failures(assembly, line)
        fitted.append(count)
        failing.append(share)
        basis.append(why)
        longest.append(length_m)
        one = _UNPRICED if line.price is None else line.price * (length_m if line.unit == "m" else 1.0)
        price.append(max(one, _LEAST_PRICE))
    expected = np.array(fitted, dtype=float) * np.array(failing)
    kept = choose(expected, price, stated.chance)
    held = chance_of(kept, expected)
    rows = []
    for i, line in enumerate(lines):
        count = int(kept[i])
        quantity = round(count * longest[i], 3) if line.unit == "m" else float(count)
        total = None if line.price is None else round(line.price * quantity, 2)
        rows.append(
            Spare(
                line.part,
                line.about,
                fitted[i],
                failing[i],
                basis[i],
                float(expected[i]),
                count,
                quantity,
                line.unit,
                float(held[i]),
                total,
            )
        )
    return SparesList(
        rows=tuple(rows),
        asked=stated.chance,
        chance=float(np.prod(held)),
        total=round(math.fsum(row.total for row in rows if row.total is not None), 2),
        currency=bill.currency,
        unpriced=tuple(row.part for row in rows if row.total is None and row.spares),
    )


def _failures(assembly: Assembly, line: BillLine) -> tuple[float, str]:
    stated, word = assembly.display.spares, bill_words(assembly, line)
    if word is not None:
        return float(getattr(stated, word)), "estimate"
    part = known_part(assembly, line.part)
    if part.failures is not None:
        basis = part.basis
        return part.failures, str(
            basis.get("failures", basis.get("default", "typical")) if isinstance(basis, dict) else basis
        )
    return float(getattr(stated, part.role)), "stated" if part.role in stated.model_fields_set else "estimate"


def _pieces(assembly: Assembly) -> dict[str, tuple[int, float]]:
    """Return how many pieces of each cable part are cut, and the length of the longest, m."""
    cut = cut_list(assembly)
    found: dict[str, tuple[int, float]] = {}
    for part, length in zip(cut.part, cut.length_m.tolist(), strict=True):
        count, longest = found.get(part, (0, 0.0))
        found[part] = (count + 1, max(longest, length))
    return found
