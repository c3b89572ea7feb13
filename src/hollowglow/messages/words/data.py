"""Words about chains, rates and universes."""

from __future__ import annotations

from hollowglow.messages.told import Told, Words
from hollowglow.quantity.numbers import number
from hollowglow.quantity.words import several


def _chain(t: Told) -> str:
    ganged = f" ({t['cells']} cells)" if t.raw("cells") != t.raw("nodes") else ""
    return f"{t['string']} has {t['nodes']} nodes{ganged}, {t['output']} drives {t['most']}."


def _move(t: Told) -> str:
    over = t.raw("over")
    return (
        f"Move props with at least {over:,} node{'s' if over > 1 else ''} to another output, or use modules with fewer "
        "driver chips."
    )


def _rate(t: Told) -> str:
    reached, asked = (t.raw(name).value for name in ("reached", "asked"))
    return (
        f"One frame of {t['nodes']} nodes takes {t['frame_time']}, so {t['output']} reaches {number(reached)} of the "
        f"asked {number(asked)} frames a second."
    )


def _slower(t: Told) -> str:
    shorter = f"Keep the chain under about {t['fits']} nodes" if t.raw("fits") else "Use lights with a shorter reset"
    asks = t.raw("slower") is not None
    return shorter + (f", or ask for {t['slower']}." if asks else ", or spread them over several outputs.")


def _orders(t: Told) -> str:
    takes = ", ".join(f"{part} takes {order}" for part, order in zip(t.raw("parts"), t.raw("orders"), strict=True))
    count = t.raw("props")
    lit = f"{count:,} props light up" if count != 1 else "1 prop lights up"
    return f"{t['output']} sends colours in the order {t['sent']}, but {takes}: {lit} in wrong colours."


def _reorder(t: Told) -> str:
    if t.raw("order") is not None:
        return (
            f"Set orders: {{{t['number']}: {t['order']}}} at {t['controller']}, and the same in the controller itself."
        )
    return (
        f"Hang lights of one order on {t['output']}: {several(t.raw('parts'))} on another output, with its own entry in "
        "orders."
    )


WORDS = {
    "chain-too-long": Words(
        "More nodes on an output than it can drive",
        "Every driver chip counts, also those of ganged lights: the data passes through each of them.",
        _chain,
        _move,
    ),
    "rate-not-reached": Words(
        "The chain is too long for the asked frame rate",
        "Sending one frame down this chain takes longer than the time between frames, so frames will be skipped.",
        _rate,
        _slower,
    ),
    "universe-past-last": Words(
        "Data addresses run past the last universe",
        "The controller, or the standard, has no universe of that number: these cells cannot be addressed.",
        "{string} needs universes up to {last}; the last one there is {most}.",
        "Begin at a lower first_universe, gang more nodes, or use another controller.",
    ),
    "universe-shared": Words(
        "Two controllers use the same universe",
        "Both controllers take their data from the same universe, so the same slots light props on both of them.",
        "{first} and {second} both use universe {universe}.",
        lambda t: f"Give {t['second']} first_universe: {t.raw('free')}, unless they are meant to show the same.",
    ),
    "colour-order": Words(
        "Colours come out wrong",
        "The controller is told to send the colours of this output in another order than the "
        "driver chips of its lights take them, so that red shows as another colour. All lights "
        "on one output must take one order.",
        _orders,
        _reorder,
    ),
}
