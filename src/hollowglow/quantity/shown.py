"""How values and names from a file appear in a message: short, on one line, with nothing invisible."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from difflib import get_close_matches

from pydantic_core import PydanticCustomError

REFUSED = "refused"
DECIMAL_COMMA = "Write decimals with a point, not a comma, and put no other commas into a quantity."
_LONGEST = 60
_MOST_COMPARED = 1000
_MOST_LISTED = 8


def visible(text: str) -> str:
    """Return a text on one line, with every character that cannot be seen written as its escape."""
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in text)


def cut(text: str, longest: int = _LONGEST) -> str:
    """Return a text as `visible` does, cut to at most `longest` characters."""
    shown = visible(text[: longest + 1])
    return shown if len(shown) <= longest else shown[: longest - 3] + "..."


def show(value: object) -> str:
    """Return a value from a file as short text for a message, text in quotes."""
    if isinstance(value, str):
        return f'"{cut(value)}"'
    if isinstance(value, bool):
        return "true" if value else "false"
    if value is None:
        return "nothing"
    if isinstance(value, dict):
        return "a table of keys"
    if isinstance(value, (list, tuple)):
        return "a list"
    try:
        return cut(str(value))
    except ValueError:  # Python refuses to write out an integer of thousands of digits
        return "a number of thousands of digits"


def refuse(found: str, expected: str, mend: str = "") -> PydanticCustomError:
    """Return the error that carries "found", "expected" and "mend" to the person."""
    context = {"found": found, "expected": expected, "mend": mend}
    return PydanticCustomError(REFUSED, "found {found}, expected {expected}", context)


def nearest(name: str, known: Iterable[str]) -> str:
    """Return 'Did you mean "x"?' for the nearest known name, or nothing where none is near."""
    by_lower: dict[str, str] = {}
    for one in known:
        if len(by_lower) >= _MOST_COMPARED:
            break
        by_lower.setdefault(one.lower(), one)
    match = get_close_matches(name.lower()[: 2 * _LONGEST], list(by_lower), n=1, cutoff=0.6)
    return f"Did you mean {show(by_lower[match[0]])}?" if match else ""


def nearest_or_all(name: str, known: Sequence[str], what: str) -> str:
    """Return the nearest known name, else which names there are; `what` is their plural ("supplies")."""
    near = nearest(name, known)
    if near:
        return near
    if not known:
        return f"The file has no {what}."
    more = ", ..." if len(known) > _MOST_LISTED else "."
    return f"The {what} of the file: " + ", ".join(show(k) for k in known[:_MOST_LISTED]) + more


def a(noun: str) -> str:
    """Return a noun with its article."""
    return ("an " if noun[:1] in "aeiou" else "a ") + noun
