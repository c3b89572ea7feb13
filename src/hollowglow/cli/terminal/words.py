"""What is told on the command line: references to inputs are said as options, those to use cases as commands."""

from __future__ import annotations

from hollowglow.messages.refusal import Input, Refusal, Token, Words, neutral, tell

# Options whose name is not that of the use case's parameter.
_OPTIONS = {"origin": "from", "photograph": "photo"}


def option(name: str) -> str:
    """Return the option by which an input is given.

    >>> option("origin"), option("yes_public")
    ('--from', '--yes-public')
    """
    return f"--{_OPTIONS.get(name, name).replace('_', '-')}"


def told(words: Words) -> str:
    """Return words for the terminal.

    >>> told(("Give it, or ", Input("origin", "multicast", "add"), "."))
    'Give it, or add --from multicast.'
    """
    return tell(words, _said)


def of_error(error: Exception) -> str:
    """Return what an error says, a refusal with the option that it is about first."""
    if not isinstance(error, Refusal):
        return str(error)
    return f"{option(error.field)}: {told(error.words)}" if error.field else told(error.words)


def _said(token: Token) -> str:
    if not isinstance(token, Input):
        return neutral(token)
    return " ".join(filter(None, (token.way, option(token.name), token.value)))
