"""What the file does not say and the plan assumes, equal defaults of several entries as one row."""

from __future__ import annotations

from hollowglow.book.page_data import BookSource, Row
from hollowglow.file.reading.assumptions import keeping_assumptions
from hollowglow.file.reading.equal_defaults import grouped
from hollowglow.quantity.words import several

_MOST_NAMED = 6


def assumptions_of(source: BookSource) -> list[Row]:
    """Return every default that was used: where it is stated, its value, what it means and for which entries."""
    display, say = source.plan.assembly.display, source.measures
    entries = {
        "supplies": len(display.supplies),
        "controllers": len(display.controllers),
        "kinds": len(display.kinds),
        "levels": len(display.kinds),
        "strings": len(display.strings),
    }
    rows = [
        {
            "where": one.where,
            "value": say.stated(one.value, one.amount),
            "reason": one.reason,
            "of": _of(one.names, entries.get(one.where.partition(".")[0], 0)) if len(one.names) > 1 else "",
        }
        for one in grouped(display)
    ]
    return rows + [
        {"where": one.where, "value": say.stated(one.value, one.amount), "reason": one.reason, "of": ""}
        for one in keeping_assumptions(display)
    ]


def _of(names: tuple[str, ...], entries: int) -> str:
    if len(set(names)) == len(names) == entries:
        return "both" if entries == 2 else f"each of the {entries:,}"
    return several(names, _MOST_NAMED)
