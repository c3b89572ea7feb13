"""What cannot be done as it was asked: a sentence whose references to inputs and use cases are told where it is read.

No sentence of a refusal knows how an input is given: the command line has options, a page has fields, and each tells the
same refusal in its own words. What is wrong with one input says so by the input's name, so that a page need not search.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal

from hollowglow.messages.errors import HollowglowError


@dataclass(frozen=True, slots=True)
class Input:
    """One input of a use case.

    Attributes:
        name: of the use case's own parameter, such as "exposure".
        value: an example of what to give, as typed; "" to speak of the input itself.
        way: "add" where the way out is to give it, "with" where something is named by it, "leave out".
    """

    name: str
    value: str = ""
    way: Literal["", "add", "with", "leave out"] = ""


@dataclass(frozen=True, slots=True)
class Job:
    """One use case, such as "check", and what it is done to; an aside only says where more is to be found."""

    name: str
    about: str = ""
    aside: bool = False


Token = Input | Job
Words = str | tuple[str | Token, ...]


def tell(words: Words, say: Callable[[Token], str]) -> str:
    """Return words in which each reference is said as a reader knows it.

    >>> tell(("Give ", Input("exposure"), "."), lambda token: f"the {token.name}")
    'Give the exposure.'
    """
    return words if isinstance(words, str) else "".join(p if isinstance(p, str) else say(p) for p in words)


def neutral(token: Token) -> str:
    """Return a reference for a reader who is not known, such as a log or a document.

    >>> neutral(Input("own_address", way="with")), neutral(Job("check", "yard.yaml"))
    ('with own address', 'hollowglow check yard.yaml')
    """
    if isinstance(token, Job):
        command = " ".join(filter(None, ("hollowglow", token.name, token.about)))
        return f" ({command})" if token.aside else command
    return " ".join(filter(None, (token.way, token.name.replace("_", " "), token.value)))


def parts(words: Words) -> tuple[str | Token, ...]:
    """Return words as parts, to be put beside others."""
    return (words,) if isinstance(words, str) else words


def plain(words: Words) -> str:
    """Return words for a reader who is not known."""
    return tell(words, neutral)


class Refusal(HollowglowError):  # noqa: N818 - it refuses, and nothing has failed
    """A request that cannot be carried out as asked.

    Attributes:
        words: what to tell, with references to inputs and use cases.
        field: name of the one input that it is about; "" where it is about none or several.
        found: what was given for that input, "" where the words say it in another form.
    """

    def __init__(self, *parts: str | Token, field: str = "", found: str = "") -> None:
        super().__init__(*parts)
        self.words: Words = parts
        self.field = field
        self.found = found

    def __str__(self) -> str:
        told = plain(self.words)
        return f"{neutral(Input(self.field))}: {told}" if self.field else told


def wrong(field: str, found: str, expected: str, *mend: str | Token) -> Refusal:
    """Return the refusal of what was given for one input: what was found, what was expected, a way out.

    >>> str(wrong("percent", "0", "more than 0, at most 100"))
    'percent: found 0, expected more than 0, at most 100.'
    """
    first = f"found {found}, expected {expected}."
    return Refusal(f"{first} " if mend else first, *mend, field=field, found=found)


class FormError(Refusal):
    """What was typed into the fields of a form cannot be taken; carries what is wrong with each, by the field's name."""

    def __init__(self, fields: Mapping[str, str]) -> None:
        super().__init__(" ".join(fields.values()))
        self.args = (fields,)
        self.fields = fields
