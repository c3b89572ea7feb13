"""Numbers that a prop shows by itself: as so many blinks, or as digits that colour and blinks tell alike."""

from __future__ import annotations

from hollowglow.messages.refusal import Refusal

# Three flashes in a second are the most that is known to be safe (WCAG 2.2, success criterion 2.3.1).
BLINK_S = 0.8
LIT_S = 0.4
GROUP = 5
GROUP_PAUSE_S = 0.8
START_S = 2.0
GAP_S = 1.2

BASE = 3
# Blue, yellow and red: each digit also blinks once more than the one before, for who cannot tell the colours apart.
DIGIT_LETTERS = "byr"
DIGIT_WORDS = ("blue, 1 blink", "yellow, 2 blinks", "red, 3 blinks")
_DIGIT_S = BASE * BLINK_S + GAP_S


def digits_for(count: int) -> int:
    """Return how many digits tell the numbers 1 to `count` apart."""
    width = 1
    while BASE**width <= count:
        width += 1
    return width


def digits(number: int, width: int) -> tuple[int, ...]:
    """Return a number as digits to base three, the highest first."""
    return tuple(number // BASE**place % BASE for place in reversed(range(width)))


def number_of(seen: str) -> int:
    """Return the number that colours such as "byr" tell, or the blinks counted, such as "123".

    Raises:
        Refusal: letters other than b, y and r, or digits other than 1, 2 and 3.
    """
    value = 0
    for letter in seen.lower().replace(" ", "").replace(",", ""):
        digit = DIGIT_LETTERS.find(letter) if letter.isalpha() else "123".find(letter)
        if digit < 0:
            raise Refusal(
                f'The code you read: found "{seen.strip()[:40]}", expected colours of b (blue), y (yellow) and r (red), '
                "or the blinks of each, 1 to 3. Type for example byr or 123."
            )
        value = value * BASE + digit
    return value


def spelled(number: int, width: int) -> str:
    """Return the colours of a number as words: "blue, yellow, red"."""
    return ", ".join({"b": "blue", "y": "yellow", "r": "red"}[DIGIT_LETTERS[d]] for d in digits(number, width))


def blink_cycle_s(most: int) -> float:
    """Return how long one round takes in which the last prop blinks `most` times, with its start mark."""
    return START_S + GAP_S + most * BLINK_S + (most - 1) // GROUP * GROUP_PAUSE_S + 2.0 * GAP_S


def blinking(number: int, most: int, at_s: float) -> str | None:
    """Return what a prop that blinks its number shows: "w" in the start mark, "y" in a blink, None when dark.

    All props light together for the start mark; then prop n blinks n times, with a pause after every fifth.

    Args:
        number: the prop's number, from 1.
        most: the highest number of the string.
        at_s: time since the step began.
    """
    at = at_s % blink_cycle_s(most)
    if at < START_S:
        return "w"
    at -= START_S + GAP_S
    if at < 0.0:
        return None
    group_s = GROUP * BLINK_S + GROUP_PAUSE_S
    group, within = int(at // group_s), at % group_s
    blink = int(within // BLINK_S)
    if blink >= GROUP or group * GROUP + blink >= number:
        return None
    return "y" if within % BLINK_S < LIT_S else None


def code_cycle_s(width: int) -> float:
    """Return how long one round of the colour code takes."""
    return START_S + GAP_S + width * _DIGIT_S + GAP_S


def coded(number: int, width: int, at_s: float) -> str | None:
    """Return what a prop that tells its number in colours shows: "w", "b", "y", "r", or None when dark.

    White is the start mark; then come the digits, each in its colour and with its number of blinks.
    """
    at = at_s % code_cycle_s(width)
    if at < START_S:
        return "w"
    at -= START_S + GAP_S
    if at < 0.0:
        return None
    place, within = int(at // _DIGIT_S), at % _DIGIT_S
    if place >= width:
        return None
    digit = digits(number, width)[place]
    lit = within < (digit + 1) * BLINK_S and within % BLINK_S < LIT_S
    return DIGIT_LETTERS[digit] if lit else None
