"""Which number on the overlay is which kind, as a person types it: "1=float,2=acorn" or "1-6=float,7=-"."""

from __future__ import annotations

import re
from collections.abc import Sequence

from hollowglow.messages.refusal import Input, Refusal, wrong

LEFT_OUT = "-"
_EXAMPLE = (Input("label", '"1-6=float,7=acorn,8=-"'), " (- leaves one out)")
_PIECE = re.compile(r"\s*(\d{1,6})\s*(?:(?:-|\.\.|–)\s*(\d{1,6})\s*)?=\s*(.+?)\s*")
_MOST = 10_000


def parse_labels(text: str) -> dict[int, str]:
    """Return the kind of each number, "-" for one to leave out.

    Raises:
        Refusal: something that is no label, or a number twice.
    """
    labels: dict[int, str] = {}
    for piece in text.split(","):
        if not piece.strip():
            continue
        match = _PIECE.fullmatch(piece)
        if match is None:
            raise wrong("label", f'"{piece.strip()[:40]}"', "NUMBER=KIND", "Write ", *_EXAMPLE, ".")
        first = int(match.group(1))
        last = int(match.group(2) or first)
        if not 1 <= first <= last or last - first > _MOST:
            raise wrong("label", f'"{piece.strip()[:40]}"', "numbers from 1 upwards", "Write ", *_EXAMPLE, ".")
        for number in range(first, last + 1):
            if labels.setdefault(number, match.group(3)) != match.group(3):
                raise wrong("label", f"the number {number} twice", "it once", "Write ", *_EXAMPLE, ".")
    if not labels:
        raise wrong("label", "nothing", "the kind of every number", "Write ", *_EXAMPLE, ".")
    return labels


def lit_props(count: int) -> str:
    """Return so many lit props in words: "1 lit prop", "15 lit props"."""
    return f"{count} lit prop" if count == 1 else f"{count} lit props"


def ranges(numbers: Sequence[int]) -> str:
    """Return numbers in short: "1 to 3, 7"."""
    runs: list[list[int]] = []
    for number in sorted(numbers):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    words = [f"{r[0]} to {r[-1]}" if len(r) > 2 else ", ".join(map(str, r)) for r in runs]
    return ", ".join(words)


def check_labels(labels: dict[int, str], count: int) -> None:
    """Refuse labels that do not fit so many props.

    Raises:
        Refusal: a prop without a label, or a label without a prop.
    """
    unnamed = [n for n in range(1, count + 1) if n not in labels]
    if unnamed:
        raise Refusal(
            f"found {lit_props(count)} and labels for {count - len(unnamed)} of them; expected one for each, "
            f"{ranges(unnamed)} has none. Look at the numbered picture and add them, such as ",
            *_EXAMPLE,
            ".",
            field="label",
        )
    beyond = [n for n in labels if n > count]
    if beyond:
        raise Refusal(
            f"found labels for {ranges(beyond)}, expected {'1 to ' if count > 1 else ''}{count}: there "
            f"{'are' if count > 1 else 'is'} {lit_props(count)}. "
            "Look at the numbered picture.",
            field="label",
        )
