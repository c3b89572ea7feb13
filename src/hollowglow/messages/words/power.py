"""Words about voltages, currents and supplies."""

from __future__ import annotations

from collections.abc import Callable

from hollowglow.messages.told import Told, Words
from hollowglow.quantity.quantities import current, tell


def _shift(t: Told) -> str:
    return (
        f"White shifts in chromaticity at {t['bad']} of {t['props']} props of {t['string']}: the worst, {t['prop']}, by "
        f"{t.raw('shift'):.3f} Δu′v′ (limit {t.raw('limit'):g}) at {t['gets']}."
    )


def _lit(t: Told) -> str:
    """Say how a light that must reach the end of its work gets more voltage."""
    if t.raw("unloaded") is not None:
        return _other_supply(t, f"more than {t['needs']}")
    again, heavier = _feed_again(t), _heavier(t)
    return f"{again}, or {heavier}." if again else f"U{heavier[1:]}."


def _bright(t: Told) -> str:
    """Say how a light that is dim gets more voltage; a lower level leaves more to it too."""
    if t.raw("unloaded") is not None:
        return _other_supply(t, t.at_least("nominal"))
    again, heavier = _feed_again(t), _heavier(t)
    return f"{again}, {heavier}, or lower the level." if again else f"U{heavier[1:]}, or lower the level."


def _other_supply(t: Told, needed: str) -> str:
    return (
        f"Even without load {t['supplies']} gives {t['unloaded']} only, so no feed and no cable helps: use a supply of "
        f"{needed}, or lights made for {t['unloaded']}."
    )


def _feed_again(t: Told) -> str:
    if t.raw("before") is None:
        return ""
    return f"Feed {t['string']} again before prop {t.raw('before')} (supply: {t['supply']})"


def _heavier(t: Told) -> str:
    loses = "lead (it loses" if t.raw("piece") == "lead" else "spans (they lose"
    heavier = f"use heavier cable for its {loses} {t['lost']})"
    return heavier if t.raw("before") is not None else f"{heavier} before prop {t.raw('at')} of {t['string']}"


def _relieve(t: Told) -> str:
    larger = f"Use a supply of {t.at_least('need')} at {t['voltage']}"
    if t.raw("level") is None:
        return f"{larger} or move a string to another supply."
    return f"{larger}, move a string to another supply, or lower the levels to {t['level']} % of today's."


def _over(pieces: str) -> Callable[[Told], str]:
    def told(t: Told) -> str:
        count = f" ({t['over']} {pieces} of {t['part']} are over)" if t.raw("over") > 1 else ""
        return f"{t['thing']} ({t['part']}) carries {t['carries']} and may carry {t['allowed']}{count}."

    return told


def _less_in_cable(t: Told) -> str:
    cable, again = f"Use a cable for {t.at_least('need')} here", "feed the string again so that less flows here"
    if t.raw("level") is None:
        return f"{cable} or {again}."
    return f"{cable}, {again}, or lower the level to {t['level']} % of today's."


def _less_in_joint(t: Told) -> str:
    return f"Use a joint rated for {t.at_least('need')}, or feed the string again so that less flows here."


def _collapses(t: Told) -> str:
    rest = f" The voltages shown are those with {t['off']} places of lights off." if t.raw("off") else ""
    if t.raw("fraction").value <= 0.0:
        return (
            f"Even without load {t['node']} gets less than its driver's cutoff of {t['cutoff']}: it never starts.{rest}"
        )
    how = "the voltage collapses" if t.raw("state") == "fold" else f"{t['node']} falls to its cutoff of {t['cutoff']}"
    return f"At {t['fraction']} of full load {how}; above that no steady state exists in which all drivers run.{rest}"


def _steadied(t: Told) -> str:
    if t.raw("fraction").value <= 0.0:
        return "Use a supply of higher voltage, or lights made for this one."
    return f"Feed {t['string']} again near {t['node']}, use heavier cable, or hang fewer lights on it."


def _not_solved(t: Told) -> str:
    if t.raw("fraction") is not None:
        return f"The curve of voltages of {t['string']} could be followed to {t['fraction']} of full load only."
    if t.raw("lights") is not None:
        return (
            f"The voltages of {t['string']} did not come to rest in {t.raw('steps')} steps at the operating point "
            f"'{t['point']}' ({t['lights']} lights)."
        )
    return (
        f"At the operating point '{t['point']}' currents miss each other by {tell(current(t.raw('charge_error'), 2))} and "
        f"power by {t.raw('energy_error'):.2g} of the whole."
    )


def _solved(t: Told) -> str:
    if t.raw("fraction") is not None:
        return f"Lower the level of its lights, or feed {t['string']} again, and plan anew."
    if t.raw("lights") is not None:
        return "Check the parts of this string for absurd resistances or currents."
    return "Check for absurd resistances or currents in the parts; the numbers of this plan are not to be used."


def _joined(t: Told) -> str:
    told = tuple(f"{n} ({t.say(v)})" for n, v in zip(t.raw("supplies"), t.raw("voltages"), strict=True))
    return f"V+ of {t.say(told)} meet on {t['strings']}."


def _dark(t: Told) -> str:
    return f"No V+ reaches {len(t.raw('dark')):,} of {t['props']} props of {t['string']} ({t['dark']})."


def _reach(t: Told) -> str:
    supply = "a supply" if t.raw("supply") is None else f"supply: {t['supply']}"
    return f"Give {t['string']} {supply}, or a feed before its first dark prop, or remove the cut before them."


WORDS = {
    "low-voltage": Words(
        "A light gets too little voltage",
        "At the moment when all lit colours draw at once, the voltage between V+ and V- at this "
        "light is below what it needs to do its full work. The farthest light from a feed is the "
        "first to suffer.",
        "Too little voltage at {bad} of {props} props of {string}: the worst, {prop}, gets {gets} and needs {needs}.",
        _lit,
    ),
    "light-loss": Words(
        "A light is visibly dimmer than its neighbours",
        "The voltage that reaches this light leaves its LEDs short of current, so it gives less "
        "light than the first prop of the same kind would at its nominal voltage.",
        "More than {limit} of the light is lost at {bad} of {props} props of {string}: the worst, {prop}, gives {light} of "
        "its nominal light at {gets}.",
        _bright,
    ),
    "chromaticity-shift": Words(
        "White shifts in chromaticity",
        "Blue and green need more voltage than red. Where the voltage is short they fade first "
        "and white turns warm or pink. The chromaticity shift Δu′v′ is a distance in the CIE "
        "1976 diagram, where 0.004 can be seen side by side and 0.006 is plain.",
        _shift,
        _bright,
    ),
    "supply-load": Words(
        "A supply works near its limit",
        "A supply that runs at its limit for hours ages quickly and has no reserve on a cold evening.",
        "{supply} delivers {delivers} of its {rating}, {share}.",
        _relieve,
    ),
    "supply-over": Words(
        "A supply is overloaded",
        "Full white would draw more than the supply is rated for: it would switch off, sag or overheat.",
        "{supply} delivers {delivers} of its {rating}, {share}.",
        _relieve,
    ),
    "cable-over": Words(
        "A cable carries more than it may",
        "The current in this cable is above what a cord of its size may carry for hours.",
        _over("pieces of cable"),
        _less_in_cable,
    ),
    "joint-over": Words(
        "A joint or plug carries more than it may",
        "The contacts of this splice or plug are rated for less current than flows through them; "
        "they would warm up, age and in the end char.",
        _over("joints"),
        _less_in_joint,
    ),
    "no-steady-state": Words(
        "The switching drivers cannot all run",
        "Constant-power lights draw more current the lower their voltage. Past a certain load no "
        "voltage satisfies them all: the string drops out, restarts and drops out again. "
        "Voltages are shown only where the rest of the string can run with some drivers off.",
        _collapses,
        _steadied,
    ),
    "two-steady-states": Words(
        "The string can rest at two different voltages",
        "Constant-power lights can rest at a high voltage with a small current or at a low one "
        "with a large current, both above their cutoff. Which one it is depends on how the power "
        "came up. The voltages shown are the higher ones.",
        "At full load {node} can rest at {upper} or at {lower}, both above its driver's cutoff, and its string with it.",
        "Use heavier cable or another feed on this string, or lights with a higher cutoff.",
    ),
    "not-solved": Words(
        "The voltages could not be computed",
        "The computation did not come to rest, or its currents do not add up. Its numbers are not to be used.",
        _not_solved,
        _solved,
    ),
    "joined-supplies": Words(
        "Two supplies' V+ are joined",
        "One V+ per supply: two supplies joined at V+ push current into each other, share the "
        "load by accident, and a short is fed by both.",
        _joined,
        "Set cut: true on the feed from the other supply, so that V+ is open between them; V- stays joined.",
    ),
    "no-power": Words(
        "Lights that V+ never reaches",
        "No supply is connected to these lights' V+, so they stay dark.",
        _dark,
        _reach,
    ),
}
