"""Words about how the kinds are built: room, seals, drains and hooks."""

from __future__ import annotations

from hollowglow.messages.told import Told, Words
from hollowglow.quantity.words import several


def _light(t: Told) -> str:
    body = f"{t['light']}, {t['across']} across and {t['deep']} deep"
    match t["cause"]:
        case "opening":
            return f"{body}, does not pass the opening of {t['kind']}, {t['size']}."
        case "wall":
            who = f"a light ({t['light']})" if t.raw("number") is None else f"light {t['number']} ({body})"
            return f"In {t['kind']} {who}, arranged as {t['arrangement']}, reaches {t['size']} beyond the inside of the wall."
        case "clash":
            pairs = [f"{a} with {b}" for a, b in t.raw("clashes")[:3]]
            more = ", among others," if len(t.raw("clashes")) > 3 else ""
            return f"In {t['kind']} the bodies of lights {several(pairs)}{more} ({body}) are in each other's way."
    return f"{t['light']}, {t['across']} across, is wider than face {t['face']} of the carrier of {t['kind']}, {t['size']}."


def _fit_light(t: Told) -> str:
    match t["cause"]:
        case "opening":
            return f"Use a light of at most {t['most']}, or open the shell {t['wider']} wider."
        case "wall":
            return (
                f"Move the lights inward by at least {t['inward']} (a smaller carrier, a smaller stand_off), use fewer or "
                "smaller ones, or another arrangement."
            )
        case "clash":
            return (
                f"Set them at least {t['apart']} apart, or leave at least {t['between']} between fronts that look away from "
                "each other."
            )
    return f"Use a carrier of at least {t['wide']} there, or a light of at most {t['most']}."


def _carrier(t: Told) -> str:
    if t["cause"] == "wall":
        return f"The {t['carrier']} in {t['kind']} reaches {t['size']} beyond the inside of the wall."
    return (
        f"The {t['carrier']} in {t['kind']} needs an opening of {t['size']}, turned as suits it best; there is one of "
        f"{t['opening']}."
    )


def _fit_carrier(t: Told) -> str:
    if t["cause"] == "opening":
        return f"Make the carrier at least {t['narrower']} narrower, build it in two pieces, or cut the shell open."
    turn = ", or swap the shell's width and depth if the carrier lies the other way" if t.raw("turn") else ""
    return f"Make it at least {t['smaller']} smaller, or move it (above_base) to where the shell is wider{turn}."


def _web(t: Told) -> str:
    second = t.raw("second")
    between = f"hole {t['first']} and the edge" if second is None else f"holes {t['first']} and {t['second']}"
    left = "overlap" if t.raw("web").value <= 0.0 else f"leave a web of {t['web']}"
    return f"On face {t['face']} of the carrier of {t['kind']} {between} {left}; at least {t['least']} is wanted."


def _widen(t: Told) -> str:
    lights, sizes = t.raw("lights"), [t.say(size) for size in t.raw("sizes")]
    fewer = f"Use fewer than {lights} lights there" if lights > 1 else "Use a smaller light"
    if t["shape"] == "rim":
        larger = "a wider and taller carrier"
    else:
        larger = f"a face of {' by '.join(sizes)}" + (" across" if t["shape"] == "round" else "")
    return f"{fewer}, or {larger}."


def _clamp(t: Told) -> str:
    return (
        f"{t['gland']} of {t['kind']} clamps {t['low']} to {t['high']}; {t['cable']} is {t['diameter']}, too "
        f"{'thick' if t.raw('thick') else 'thin'} for it."
    )


def _other_gland(t: Told) -> str:
    limit = f"at most {t['most']}" if t.raw("thick") else f"at least {t['least']}"
    return f"Use a gland whose range takes in {t['diameter']}, or a cable of {limit}."


def _two(t: Told) -> str:
    says = ""
    if t.raw("widest") is not None:
        room = "has room for them but cannot close round two" if t.raw("room") else "is too small for them"
        says = f"; side by side two of {t['widest']} are {t['both']} wide, it clamps {t['high']} at most and {room}"
    return f"{t['passing']} cables go through {t['count']} x {t['gland']} of {t['kind']}{says}."


def _more_glands(t: Told) -> str:
    insert = "one whose insert has a hole for each cable"
    if t.raw("takes") is not None:
        insert = f"a gland that takes at least {t['takes']} with an insert of {t['passing']} holes of {t['widest']}"
    return f"Use {t['passing']} glands (gland.count: {t['passing']}), or {insert}."


def _seat(t: Told) -> str:
    if t["cause"] == "thread":
        return (
            f"The wall of {t['kind']} is {t['wall']}; of the thread of {t['gland']} {t['left']} stay inside, and the nut "
            f"needs {t['nut']} (estimates)."
        )
    inside = "" if t.raw("inside") is None else f", clear of what sits {t['inside']} round the axis there"
    found = "is pointed or bends away too sharply" if t.raw("has") is None else f"has {t['has']}"
    return (
        f"{t['count']} x {t['gland']} need {t['needs']} at the {t['place']} of {t['kind']} (flanges of {t['flange']}, "
        f"{t['spacing']} from centre to centre, estimates{inside}); it {found}."
    )


def _give_seat(t: Told) -> str:
    if t["cause"] == "thread":
        return f"Thin the wall round the hole by at least {t['thinner']}, or use a gland with a longer thread."
    return "Move a gland to another place, or use a smaller gland for thinner cable."


def _closed(t: Told) -> str:
    return "sealed by hand" if t.raw("gland") is None else f"closed by {t['gland']}"


def _rain(t: Told) -> str:
    if t["hangs"] == "tip up" and t["place"] != "base":
        return (
            f"{t['kind']} hangs tip up and its cable holes ({_closed(t)}) are at the {t['place']}, {t['above']} above the "
            "base: rain runs over them and what gets in falls on the lights."
        )
    return _on_top(t)


def _on_top(t: Told) -> str:
    return (
        f"{t['kind']} hangs {t['hangs']} and its cable holes ({_closed(t)}) are on top, {t['above']} above its lowest "
        "point, where rain stands and follows the cables in."
    )


def _out_of_rain(t: Told) -> str:
    if t.raw("loop") is None:
        return f"Move them to the base (gland.at: base), {t['above']} lower, where they point down."
    return (
        f"Close them with glands and let each cable hang in a loop of at least {t['loop']} below its hole (drip_loop)."
    )


def _drain_size(t: Told) -> str:
    why = "a drop closes it." if t.raw("narrow") else "insects and splashing water come in."
    return f"The drain of {t['kind']} is {t['size']}: {why}"


def _hook(t: Told) -> str:
    unknown = f" without {', '.join(t.raw('unknown'))}, whose mass is not stated" if t.raw("unknown") else ""
    says = f"{t['kind']} weighs {t['mass']}{unknown}"
    if t.raw("overloaded"):
        return (
            f"{says}, {t.raw('weight_n'):.2f} N; swinging in wind it may pull {t.raw('factor'):g} times that, "
            f"{t.raw('swinging_n'):.1f} N, and {t['hook']} holds {t['holds']}, {t.raw('holds_n'):.1f} N."
        )
    cells = "with its cells" if t.raw("cells") else "as bought"
    return f"{says}, {t['gain']} more than {cells}, and hangs by the moulded loop {t['hook']}."


def _other_hook(t: Told) -> str:
    metal = " of metal" if t.raw("metal") else ""
    return (
        f"Hang it by a hook{metal} that holds at least {t['least']}, through a washer or round the neck, and by nothing "
        "moulded."
    )


WORDS = {
    "light-does-not-fit": Words(
        "A light has no room",
        "The body of a light reaches into the wall or into another light, or does not pass the "
        "shell's opening, or is wider than what it is mounted on.",
        _light,
        _fit_light,
    ),
    "carrier-does-not-fit": Words(
        "The carrier has no room",
        "The carrier reaches into the wall where it sits, or does not pass the shell's opening.",
        _carrier,
        _fit_carrier,
    ),
    "web-too-thin": Words(
        "Too little is left between holes",
        "What is left of the carrier between two holes, or between a hole and the edge, would "
        "break when a light is pushed in.",
        _web,
        _widen,
    ),
    "gland-clamp": Words(
        "A gland does not fit its cable",
        "A gland seals and holds only cables within its clamping range.",
        _clamp,
        _other_gland,
    ),
    "gland-two-cables": Words(
        "More cables than glands",
        "The round seal of a gland closes round one cable. Between two there is a gap that water "
        "runs through, unless the gland has an insert with a hole for each.",
        _two,
        _more_glands,
    ),
    "gland-clearance": Words(
        "A gland's hole does not suit its thread",
        "The thread must go through the hole, and the seal ring must cover what is left round it.",
        "The hole of {gland} is {hole}, {more} more than its thread of {thread}.",
        "Drill from {low} to {high}.",
    ),
    "gland-room": Words(
        "A gland has no seat",
        "The flange outside and the nut inside need a flat place, the nuts must clear each "
        "other, and the thread must reach through the wall.",
        _seat,
        _give_seat,
    ),
    "hole-in-rain": Words(
        "A cable hole that rain reaches",
        "A cable hole on top of a prop, or anywhere but in the base of one that hangs tip up, "
        "has water running over it all night, and a seal made by hand does not last.",
        _rain,
        _out_of_rain,
    ),
    "gland-on-top": Words(
        "Glands on top of a prop",
        "Water follows a cable down to its gland. Where the cable first hangs below the gland, it drips off before.",
        _on_top,
        "Let each cable hang in a loop of at least {loop} below its gland (drip_loop), or move the glands to the {other}.",
    ),
    "drain-missing": Words(
        "No drain",
        "No prop stays dry inside for a season: air breathes through every seam and its moisture condenses.",
        "{kind} has no drain: water that gets in, and the dew that forms inside, cannot leave.",
        "Drill one hole of {low} to {high} at the {lowest}, its lowest point as it hangs {hangs}.",
    ),
    "drain-not-lowest": Words(
        "The drain is not at the lowest point",
        "Water stands in the prop up to the drain, freezes there and reaches the lights.",
        "{kind} hangs {hangs} with its drain at the {place}: water stands {standing} deep before it runs out.",
        "Drill the drain of {size} ({drills}) at the {lowest} (drain.at: lowest).",
    ),
    "drain-size": Words(
        "A drain of an unusual size",
        "A hole that is too small is closed by a drop, dirt or a spider; one that is too large lets insects in.",
        _drain_size,
        "Drill {low} to {high}.",
    ),
    "hook-weak": Words(
        "A hook that may not hold",
        "A prop swings in wind and pulls several times its weight. A loop moulded onto plastic "
        "turns brittle in frost and was made for the prop as it was sold.",
        _hook,
        _other_hook,
    ),
}
