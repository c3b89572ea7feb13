"""What to buy: each part once, with its quantity, its spares and its price, and the work that it takes."""

from __future__ import annotations

from hollowglow.analysis.money import spares
from hollowglow.book.page_data import BookSource, Row, assumed_of
from hollowglow.quantity.words import percent


def bill(source: BookSource) -> Row:
    """Return the bill with its sum, and the work by operation."""
    made = source.plan.cost.bill
    kept = spares.analyse(source.plan.assembly, made)
    spare = {(one.part, one.unit): one for one in kept.rows}
    rows = [
        {
            "part": line.part,
            "about": line.about,
            "quantity": _quantity(source, line.quantity, line.unit),
            "spare": _spare(source, spare.get((line.part, line.unit))),
            "price": "-" if line.price is None else _price(source, line.price, line.unit),
            "total": "-" if line.total is None else f"{line.total:,.2f}",
        }
        for line in made.lines
    ]
    work = [
        {"what": one.name, "count": f"{one.count:,}", "minutes": f"{one.minutes:,.0f}"}
        for one in source.plan.cost.operations
    ]
    return {
        "rows": rows,
        "total": f"{made.total:,.2f} {made.currency}",
        "unpriced": list(made.unpriced),
        "spares": _spares_words(kept),
        "assumptions": assumed_of(source, "spares"),
        "bench": _bench(source, {line.part for line in made.lines}),
        "work": work,
        "hours": f"{source.plan.cost.minutes / 60.0:,.1f} h",
    }


def _quantity(source: BookSource, quantity: float, unit: str) -> str:
    if unit != "m":
        return f"{quantity:,.0f}"
    return source.measures.bought(quantity)


def _price(source: BookSource, price: float, unit: str) -> str:
    """Return what one piece costs; of what is bought by length, a metre or a foot."""
    return f"{price:,.2f}" if unit != "m" else source.measures.each(price)


def _bench(source: BookSource, billed: set[str]) -> list[str]:
    """Return what the steps at the bench use that no line of the bill counts, with how many where a step says."""
    assembly = source.plan.assembly
    counts: dict[str, int] = {}
    for row, made in enumerate(source.plan.making.kinds):
        props = int((assembly.props.kind == row).sum())
        for step in made.steps if props else ():
            for words in step.parts:
                number, found, name = words.partition(" x ")
                name, each = (name, int(number)) if found and number.isdigit() else (words, 0)
                if name not in billed and f"{name} of {made.name}" not in billed:
                    counts[name] = counts.get(name, 0) + each * props
    return [f"{count:,} × {name}" if count else name for name, count in counts.items()]


def _spare(source: BookSource, one: spares.Spare | None) -> str:
    return "-" if one is None or one.quantity <= 0.0 else _quantity(source, one.quantity, one.unit)


def _spares_words(kept: spares.SparesList) -> str:
    """Return what the spares are good for and what they cost, in a sentence or two."""
    bought = [one for one in kept.rows if one.spares]
    basis = "estimates" if any(one.basis == "estimate" for one in kept.rows) else "as stated"
    unpriced = f" without {', '.join(kept.unpriced)}" if kept.unpriced else ""
    if not bought:
        return f"No spares are needed for a chance of {percent(kept.asked)} to finish the season without buying."
    return (
        f"With the spares, {percent(kept.chance)} of seasons end without buying ({percent(kept.asked)} asked for; failures of "
        f"each part come by Poisson's law; how many fail in a season: {basis}). The spares cost {kept.total:,.2f} "
        f"{kept.currency}{unpriced}; they are not in the sum above."
    )
