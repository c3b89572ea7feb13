"""The square code of a label: the id alone, or the phone page's address with the id."""

from __future__ import annotations

from urllib.parse import quote


def code_text(name: str, address: str = "") -> str:
    """Return what the code of an id holds.

    Args:
        name: the id.
        address: of the phone page, empty where there is none.
    """
    if not address:
        return name
    return f"{address}{'&' if '?' in address else '?'}id={quote(name, safe='/')}"


def modules(text: str) -> tuple[tuple[bool, ...], ...]:
    """Return the dark modules of the QR code (ISO/IEC 18004) of a text, row by row, without its quiet zone."""
    import segno

    code = segno.make(text, micro=False, error="m", boost_error=False)
    return tuple(tuple(bool(module) for module in row) for row in code.matrix)
