"""Words about fuses."""

from __future__ import annotations

from hollowglow.messages.told import Told, Words
from hollowglow.quantity.words import several


def _fuse(t: Told, name: str = "blade") -> str:
    return t[name] if t.raw(name) is not None else t.at_least("need")


def _replaced(t: Told) -> str:
    one = "one" if len(t.raw("weak")) == 1 else "ones"
    return f"replace {t['weak']} by {one} for {t.at_least('enough')}"


def _bigger(t: Told) -> str:
    if t.raw("fits"):
        return f"Use a fuse of {_fuse(t)}."
    apart = f"Feed {t['string']} again with cut: true, so that less flows through this fuse"
    if t.raw("weak") is not None:
        return f"{apart}, or {_replaced(t)} and then use a fuse of {_fuse(t)}."
    return f"{apart}; a bigger one and the other fuses of {t['string']} together would let too much into its cable or joints."


def _smaller(t: Told) -> str:
    small = f"a fuse of {t['blade'] if t.raw('blade') is not None else t.at_most('most')}"
    if t.raw("helps"):
        return f"Use {small}, or {_replaced(t)}."
    return (
        f"To protect it takes {small}, too small for what flows here: {_replaced(t)}, or feed {t['string']} again with "
        "cut: true, so that less does."
    )


def _first(t: Told) -> str:
    places = t.raw("places")
    where = f"in V+ of {several(places, len(places))}"
    each = " each" if len(places) > 1 else ""
    if t.raw("cut"):
        return (
            f"Set cut: true on the feeds of {t['string']}, so that each feeds its own part, and put a fuse {where}: "
            "together fuses that carry what flows here would let too much into one part."
        )
    if t.raw("blade") is not None:
        return f"Put a fuse of {t['blade']}{each} {where}."
    if t.raw("room") is not None:
        return f"Put a fuse of {t.at_most('room')}{each} {where}."
    return (
        f"Feed {t['string']} again with cut: true and put a fuse into both, or {_replaced(t)} and put a fuse of "
        f"{_fuse(t, 'next')} {where}."
    )


_OVER = "{fuse} is {rating}; behind it {thing} ({part}) may carry {allowed}."
WORDS = {
    "fuse-over-cable": Words(
        "A fuse is too big for a cable behind it",
        "A fuse protects the cable behind it. If it carries more than the cable may, the cable is the fuse.",
        _OVER,
        _smaller,
    ),
    "fuse-over-joint": Words(
        "A fuse is too big for a plug or splice behind it",
        "In a fault the fuse lets through more than this plug or splice is rated for, for as long as it likes.",
        _OVER,
        _smaller,
    ),
    "fuses-add-up": Words(
        "Several fuses feed one piece of cable",
        "Where a string is fed again without a cut, a fault beyond both feeds is fed through "
        "both fuses at once, so their ratings add up in the cable and joints between.",
        "{fuses} together let {reach} into {thing} ({part}), which may carry {allowed}.",
        "Use smaller fuses, heavier parts, or cut: true on the feed, so that each fuse feeds its own part.",
    ),
    "fuse-load": Words(
        "A fuse carries a heavy share of its rating",
        "A fuse that runs warm for hours ages and opens some evening without a fault.",
        "{fuse} carries {carries}, {share} of its {rating}.",
        _bigger,
    ),
    "fuse-blows": Words(
        "A fuse carries more than its rating",
        "Full white would open this fuse, at once or after minutes.",
        "{fuse} carries {carries} and is rated {rating}.",
        _bigger,
    ),
    "no-fuse": Words(
        "A cable has no fuse and its supply can overload it",
        "With no fuse in V+ a short lets the whole supply into this cable, more than the cable may carry.",
        "{supply} can deliver {delivers} into {cable} ({part}), which may carry {allowed}, with no fuse between.",
        _first,
    ),
}
