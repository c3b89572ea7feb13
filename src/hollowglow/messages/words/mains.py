"""Words about mains circuits, and about the numbers of Class 2."""

from __future__ import annotations

from hollowglow.messages.told import Told, Words
from hollowglow.quantity.numbers import number

_ELECTRICIAN = "ask a licensed electrician"


def _spread(t: Told) -> str:
    way = (
        f"Spread the supplies over at least {t.raw('circuits')} circuits with a device each ({t.raw('fits')} of these fit "
        "on one)"
        if t.raw("fits")
        else "Use supplies that leak less"
    )
    return f"{way}, or use supplies whose data sheets state {t.at_most('each')} each; never defeat the device."


def _surge(t: Told) -> str:
    return (
        f"Switched on cold together, the supplies on {t['circuit']} surge to {t['inrush']}; its {t['breaker']} breaker of "
        f"curve {t['curve']} may open at once from {t['at_once']} peak ({number(t.raw('multiple'))} times its rating)."
    )


def _staggered(t: Told) -> str:
    if t.raw("alone") is not None:
        return (
            f"{t['alone']} alone can reach it: use supplies with at most {t['at_once']} of inrush or an inrush limiter; for "
            f"another breaker {_ELECTRICIAN}."
        )
    groups = t.raw("groups")
    shown = "; then ".join(t.say(group) for group in groups[:4])
    more = f"; then {len(groups) - 4} more groups" if len(groups) > 4 else ""
    return f"Switch them on in {len(groups)} groups {t['apart']} apart: {shown}{more}."


def split(t: Told) -> str:
    """Return what would bring a supply or a circuit within the numbers of Class 2, and what that changes."""
    if t.raw("lower_to") is not None:
        return f"a supply of at most {t['lower_to']}, with lights made for it"
    if t.raw("count") == 1:
        return f"1 supply of at most {t['most_power']} and {t['most_current']} would do: {t['drawn']} are drawn"
    if t.raw("count") is not None:
        count = t.raw("count")
        who = "; ".join(t.say(names) for names in t.raw("shares")) + ("; ..." if count > 4 else "")
        return (
            f"{count} supplies of at most {t['most_power']} and {t['most_current']} each, none above {t['load']} ({who}): V- "
            f"of all joined, V+ never; standing leakage and inrush grow up to {count} times"
        )
    if t.raw("fuse") is None:
        return "use a lower voltage"
    if t.raw("pieces") == 1:
        return f"a fuse of at most {t['fuse']} at its supply"
    return f"feed {t['string']} in {t.raw('pieces')} pieces with cut: true, each with a fuse of at most {t['fuse']}"


def _beyond(t: Told) -> str:
    why = (
        f"{t['supply']} is rated {t['power']} at {t['voltage']}, and Class 2 ends at {t['most_power']} and "
        f"{t['most_current']} there"
        if t.raw("wet")
        else f"{t['supply']} ({t['voltage']}) is above the {t['wet_voltage']} of wet contact"
    )
    others = f" ({t.raw('supplies')} supplies in all)" if t.raw("supplies") > 1 else ""
    circuits = t.raw("circuits")
    count = "is 1 circuit" if circuits == 1 else f"are {circuits:,} circuits"
    return f"{why}{others}{f'; so by fuse or load {count}' if circuits else ''}."


def _within(t: Told) -> str:
    return (
        f"Wire it as a power circuit by the local code ({_ELECTRICIAN}), or bring {t['supply']} within: {split(t)}. Only "
        "listed and marked supplies are Class 2, and built props are not listed products."
    )


_CARRIES = (
    "{circuit} carries {current} at full white, {share} of its {breaker} breaker ({supplies}, power factor included)."
)
_LOWER = (
    "Move supplies that take at least {over} to another circuit, or lower the levels so that at most {most} flows; for "
    f"another breaker {_ELECTRICIAN}."
)
WORDS = {
    "beyond-class-two": Words(
        "A supply or circuit is beyond the numbers of Class 2",
        "Up to 20 V a Class 2 source is limited to 5 A and to 5 W for each volt, from 20 V to 30 "
        "V to 100 W; beyond, the wiring rules for power circuits apply where the NEC is in "
        "force. Only a listed and marked supply is a Class 2 source, whatever its numbers, and "
        "props built at home are not listed products.",
        _beyond,
        _within,
    ),
    "mains-over": Words(
        "A mains circuit carries more than its breaker",
        "At full white the supplies on this circuit together draw more than its breaker is rated for.",
        _CARRIES,
        _LOWER,
    ),
    "mains-load": Words(
        "A mains circuit works near its limit",
        "A load of three hours or more counts as continuous and may take four fifths of the "
        "breaker's rating. What else hangs on the circuit comes on top.",
        _CARRIES,
        _LOWER,
    ),
    "leakage-adds-up": Words(
        "Standing leakage may trip the residual-current device",
        "The filter of every supply leaks a little to earth all the time, and wet cables and "
        "boxes leak more. A residual-current device may trip from half its rating, so little is "
        "left for the rain.",
        "The supplies on {circuit} leak {leakage} to earth all the time; its device of {rcd} may trip from {most} (half its "
        "rating), and rain adds to it.",
        _spread,
    ),
    "inrush-adds-up": Words(
        "Switching on all at once may open the breaker",
        "A cold supply takes a surge when it is switched on. Together the surges reach the peak "
        "of the current at which this breaker may open at once.",
        _surge,
        _staggered,
    ),
}
