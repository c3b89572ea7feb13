"""What is told on a page, of the workbench or for a phone: references are said as fields and rooms."""

from __future__ import annotations

from hollowglow.messages.refusal import Input, Refusal, Token, Words, neutral, tell

# How a page calls an input, by its name and the way in which it is spoken of.
_FIELDS = {
    ("yes_public", "add"): "tick the box under the address",
    ("interface", "with"): "under own address",
    ("interface", ""): "own address",
    ("exposure", ""): "the exposures",
    ("share", ""): "the share",
    ("luminance", ""): "the luminance",
    ("white", ""): "the white",
}
_ROOMS = {"check": "the overview"}


def told(words: Words) -> str:
    """Return words for a page.

    >>> told(("Found x, expected a host. Example: ", Input("to", "192.168.1.20")))
    'Found x, expected a host. Example: 192.168.1.20'
    """
    said = tell(words, _said)
    return _capital(said) if words and isinstance(words[0], Input) else said


def of_error(error: Exception) -> str:
    """Return what an error says."""
    if not isinstance(error, Refusal):
        return str(error)
    return _capital(told(error.words)) if error.field else told(error.words)


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _said(token: Token) -> str:
    if isinstance(token, Input):
        named = _FIELDS.get((token.name, token.way))
        return token.value or named or neutral(token)
    return "" if token.aside else _ROOMS.get(token.name) or neutral(token)
