"""Which order the lights take their colours in, solved from what a person sees where red, green, blue, white are sent."""

from __future__ import annotations

from dataclasses import dataclass

from hollowglow.messages.refusal import Refusal

STATED = "rgbw"
WORDS = {
    "r": "red",
    "g": "green",
    "b": "blue",
    "w": "white",
    "y": "yellow",
    "c": "cyan",
    "m": "magenta",
    "-": "nothing",
}
# White without one colour, by additive mixture: red and green give yellow, and so on.
_WHITE_WITHOUT = {"c": "r", "m": "g", "y": "b"}
_ALIASES = {"d": "-", "k": "-", "0": "-", "p": "m", ".": "-"}


@dataclass(frozen=True, slots=True)
class SeenOrder:
    """What a report of four colours means.

    Attributes:
        order: the order in which the lights take their colours, such as grb; None where the report is no mere change
            of order.
        missing: colours that did not light, such as "b".
        right: whether it is as it should be.
        says: the same in words.
    """

    order: str | None
    missing: str
    right: bool
    says: str


def parse_seen(text: str) -> str:
    """Return what a person typed as four letters: r, g, b, w, y, c, m, or - for nothing.

    Words do too ("green red blue white"); d, k and 0 count as nothing, p (pink) as magenta.

    Raises:
        Refusal: not four colours.
    """
    words = text.lower().replace(",", " ").replace("/", " ").split()
    whole = {word: letter for letter, word in WORDS.items()} | {"dark": "-", "pink": "m", "black": "-", "off": "-"}
    letters = "".join(whole.get(word, word) for word in words)
    letters = "".join(_ALIASES.get(letter, letter) for letter in letters)
    if len(letters) != len(STATED) or any(letter not in WORDS for letter in letters):
        raise Refusal(
            f'What you saw: found "{text.strip()[:40]}", expected four colours in the order in which they were shown, '
            "of r g b w y c m and - for dark. Type for example grbw."
        )
    return letters


def is_seen(text: str) -> bool:
    """Return whether a text reads as four colours."""
    try:
        parse_seen(text)
    except Refusal:
        return False
    return True


def solve(seen: str, stated: str) -> str | None:
    """Return the order in which lights take their colours.

    The controller sends a light the slot of colour stated[k] as byte k; the colour seen when that slot alone is lit is
    what the light makes of byte k. The place of the white of a light of four colours is the one that is left over.

    Args:
        seen: what was seen for the slots of red, green, blue and for all of them, such as grbw.
        stated: the order that the controller is told, such as rgb or grbw.

    Returns:
        The true order, such as grb; None where the three colours seen are not different ones of these lights.
    """
    left = set(stated) - set(seen[:3])
    if len(set(seen[:3])) < 3 or len(left) != len(stated) - 3:
        return None
    return "".join(seen[STATED.index(c)] if c in "rgb" else left.pop() for c in stated)


def judge(seen: str, stated: str, output: str, light: str) -> SeenOrder:
    """Return what a report means for the lights of an output.

    Args:
        seen: four letters as `parse_seen` gives them.
        stated: the order that the controller is told, such as rgb.
        output: the output's name, such as box/1.
        light: the part's name.
    """
    if seen == STATED:
        return SeenOrder(stated, "", True, "the colour order is right")
    missing = "".join(c for c in "rgb" if seen[STATED.index(c)] == "-")
    order = solve(seen, stated)
    if order is not None and seen[3] == "w":
        first = WORDS[order[0]]
        return SeenOrder(
            order,
            "",
            False,
            f"the lights of output {output} take {first} first, in the order {_list(order)}: tell the controller "
            f"{order.upper()}, and write `order: {order}` at the light {light}",
        )
    if order is not None and seen[3] in _WHITE_WITHOUT:
        lost = _WHITE_WITHOUT[seen[3]]
        return SeenOrder(
            order,
            "",
            False,
            f"each colour lights alone, but white lacks {WORDS[lost]}: too little voltage reaches it under load"
            + ("" if order == stated else f"; and the order is {order.upper()}"),
        )
    if seen == "----":
        return SeenOrder(None, "rgb", False, "no colour lights: no power, no data, or another address")
    if len(missing) == 1:
        there = [c for c in "rgb" if c not in seen[:3]]
        lost = there[0] if len(there) == 1 else missing
        return SeenOrder(None, lost, False, f"{WORDS[lost]} is missing: its LED or its wire in the light is broken")
    if missing:
        return SeenOrder(None, missing, False, f"{_list(missing)} are missing: broken LEDs, or too little voltage")
    if order is not None:
        return SeenOrder(
            order,
            "",
            False,
            f"each colour lights alone, but white shows as {WORDS[seen[3]]}: too little voltage reaches it under load, or "
            "one colour was misread; look again",
        )
    return SeenOrder(
        None,
        "",
        False,
        f"red, green and blue did not show once each ({_list(seen[:3])} did): the controller may be told a number of "
        "colours or a chip that these lights have not, or the data is disturbed",
    )


def _list(letters: str) -> str:
    return _and([WORDS[letter] for letter in letters])


def _and(words: list[str]) -> str:
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " and " + words[-1]
