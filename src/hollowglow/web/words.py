"""What is told on a page, of the workbench or for a phone: references are said as fields and rooms."""

from __future__ import annotations

from hollowglow.messages.refusal import Input, Job, Refusal, Token, Words, neutral, tell

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
    >>> told(("There is nothing. ", Job("check", "yard.yaml"), " says why."))
    'There is nothing. The overview says why.'
    """
    said = words if isinstance(words, str) else _sentences(words)
    return _capital(said) if words and isinstance(words[0], Input) else said


def _sentences(words: tuple[str | Token, ...]) -> str:
    """Return parts in one; a reference that begins a sentence begins with a capital letter."""
    said = ""
    for part in words:
        told_part = tell((part,), _said)
        said += _capital(told_part) if isinstance(part, Job) and said.endswith(". ") else told_part
    return said


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
