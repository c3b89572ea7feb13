"""What a terminal can show: the width of a character, and ASCII in place of braille and signs."""

from __future__ import annotations

import unicodedata

_SIGNS = str.maketrans(
    {
        "−": "-",
        "–": "-",
        "—": "-",
        "×": "x",
        "·": ".",
        "…": "...",
        "Ω": "ohm",
        "≤": "<=",
        "≥": ">=",
        "±": "+/-",
        "°": " deg ",
        "µ": "u",
        "μ": "u",
        "Δ": "d",
        "ß": "ss",
        "ø": "o",
        "Ø": "O",
        "æ": "ae",
        "Æ": "AE",
        "’": "'",
        "′": "'",
        "‘": "'",
        "“": '"',
        "”": '"',
    }
)


def cell_width(char: str) -> int:
    """Return how many terminal cells a character takes: 0, 1 or 2; control characters take none."""
    if unicodedata.category(char) in ("Mn", "Me", "Cf", "Cc"):
        return 0
    return 2 if unicodedata.east_asian_width(char) in ("W", "F") else 1


def plain_text(text: str) -> str:
    """Return `text` in ASCII: signs by their usual spelling, accents dropped, the rest as question marks."""
    spelled = unicodedata.normalize("NFKD", text.translate(_SIGNS)).translate(_SIGNS)
    kept = "".join(char for char in spelled if not unicodedata.combining(char))
    return kept.encode("ascii", "replace").decode("ascii")


def sketch(bits: int) -> str:
    """Return the ASCII character that looks most like a braille cell with these dot bits."""
    left = [row for row, bit in enumerate((0x01, 0x02, 0x04, 0x40)) if bits & bit]
    right = [row for row, bit in enumerate((0x08, 0x10, 0x20, 0x80)) if bits & bit]
    rows = set(left) | set(right)
    if len(left) + len(right) >= 6:
        return "#"
    if not left or not right:
        if len(rows) >= 3:
            return "|"
        return "." if min(rows) >= 2 else "'" if max(rows) <= 1 else ":"
    if len(rows) == 1:
        return "_" if rows == {3} else "-"
    if len(rows) == 4 and len(left) != len(right) and max(len(left), len(right)) == 4:
        return "+"
    lean = sum(left) / len(left) - sum(right) / len(right)
    if abs(lean) < 1 and len(rows) <= 2:
        return "-"
    return "/" if lean > 0.5 else "\\" if lean < -0.5 else "+"
