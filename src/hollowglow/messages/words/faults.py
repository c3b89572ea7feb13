"""Words about shorts, and about joints that turn current into heat."""

from __future__ import annotations

from hollowglow.messages.told import Told, Words
from hollowglow.quantity.numbers import number

# Below this share of a current the rest is worth telling.
_ALL = 0.999


def _short(t: Told) -> str:
    total, through, lasting = (t.raw(name).value for name in ("current", "through", "lasting"))
    held = f" (the limit of {t['supply']})" if t.raw("limited") else ""
    draws = f"A dead short at {t['place']} draws {t['current']}{held}"
    part = t["part"] if t.raw("part") is not None else "-"
    if t.raw("fuse") is None:
        stays = f"{t['lasting']} on average (effective)" if lasting < _ALL * total else "for as long as it likes"
        return f"{draws} without a fuse, {stays}: more than {part} may carry."
    share = f"{t['through']} of it through {t['fuse']}" if through < _ALL * total else f"through {t['fuse']}"
    why = (
        f"below {t['opens_from']}"
        if t.raw("on_time") is None
        else f"within the {t['on_time']} that the supply stays on"
    )
    message = f"{draws}, {share} ({t['rating']}), {t['of_rating']} of its rating: it need not open {why}"
    if t.raw("part") is not None:
        message += f", and {t['lasting']} stays on, more than {part} may carry"
    return f"{message}."


def _cleared(t: Told) -> str:
    if t.raw("cut") is not None:
        smaller = f" Fuses below {t['fuses_below']} open sooner." if t.raw("fuses_below") is not None else ""
        return (
            f"Set cut: true on the feeds of {t['cut']}, so that each piece has one fuse alone, and plan anew.{smaller}"
        )
    if t.raw("first_fuse") is not None:
        fuse = f"{t['first_fuse']} or less" if t.raw("usual") else t.at_most("first_fuse")
        where = f"in V+ of {t['run']} at {t['supply']}"
        return f"Put a fuse of {fuse} {where}, or replace {t['replaced']} by one for {t.at_least('part_for')}."
    ways = []
    if t.raw("smaller") is not None:
        ways.append(f"use a fuse of {t['smaller']}")
    if t.raw("copper") is not None:
        ways.append(f"use cable with {t.at_least('copper')} times the copper from {t['supply']} to there")
    if t.raw("nearer") is not None:
        ways.append(f"feed {t['string']} again with cut: true before {t['nearer']}, with a fuse of its own")
    if t.raw("delivers") is not None:
        ways.append(f"use a supply that delivers {t.at_least('delivers')} into a short for as long as it takes")
    if t.raw("replaced") is not None:
        ways.append(f"replace {t['replaced']} by one for {t.at_least('part_for')}")
    if not ways:
        small = (
            f" (a fuse of {t['small']} would open, but not carry what flows here)" if t.raw("small") is not None else ""
        )
        return (
            f"Feed {t['string']} again with cut: true, so that less flows through each fuse and smaller ones do{small}."
        )
    text = ", or ".join(ways)
    return f"{text[0].upper()}{text[1:]}."


def _cooler(t: Told) -> str:
    smaller = f"a smaller fuse ({t['smaller']} or less), or " if t.raw("smaller") is not None else ""
    gauge = f"{t.raw('awg')} AWG or heavier" if t.raw("awg") is not None else "beyond 0 AWG"
    return f"Use {smaller}a cable with at least {number(t.raw('area_mm2'))} mm2 of copper ({gauge}) in place of {t['cable']}."


def _smoulders(t: Told) -> str:
    opens = f"without opening {t['fuse']}" if t.raw("fuse") is not None else "without a fuse to open"
    return (
        f"A wet or charred joint at {t['place']} could turn up to {t['heat']} into heat, at {t['ohm']} between V+ and V-, "
        f"{opens} (estimate, lights not counted)."
    )


WORDS = {
    "short-not-cleared": Words(
        "A short that nothing ends",
        "Cable and supply resistance hold the current of a dead short so low that its fuse need "
        "not open, or the supply limits it before; where there is no fuse, the supply can keep "
        "more flowing than the cable may carry. The short goes on until somebody sees it.",
        _short,
        _cleared,
    ),
    "cable-overheats-in-short": Words(
        "A cable gets too hot before its fuse opens",
        "Until the fuse opens, the heat of a short stays in the copper. PVC bears 160 degC for a "
        "moment; it is reckoned from 70 degC, a cable at full load.",
        "A dead short at {place} may take {within} to open {fuse} ({rating}) at {current}; until then {cable} can reach up to "
        "{hottest} (estimate), and PVC bears {bears} for a moment.",
        _cooler,
    ),
    "joint-can-smoulder": Words(
        "A bad joint could make much heat without opening anything",
        "A wet or charred joint is no dead short: its resistance can draw so little that every "
        "fuse holds, and turn all of it into heat in one place. Most at the resistance of the "
        "loop itself, or at the largest current that the fuse lets pass for good.",
        _smoulders,
        "Seal that joint against water and relieve it of pull; a smaller fuse lets less into it: {smaller} or less keeps it "
        "below {most}.",
    ),
    "fuse-may-stay-whole": Words(
        "A short may leave its fuse whole",
        "A supply that switches off and on again in a short may never stay on for long enough to "
        "open a fuse. What flows on average is within every cable's rating, so nothing "
        "overheats, but all that hangs on the supply stays dark and no open fuse tells where to "
        "look.",
        "In a dead short {supplies} would switch off and on again before {fuses} must open. The cables stay cool (at most "
        "{lasting} effective), but no fuse tells where the short is.",
        "Look up in the data sheet what the supply does in a short and state it (limit: constant, or limit_on above "
        "{on_time}); smaller fuses open sooner.",
    ),
}
