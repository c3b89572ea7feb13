"""Typed facts as words: quantities in the units of the reader, counts and names as a person reads them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any

from hollowglow.quantity.numbers import rounded_down, rounded_up
from hollowglow.quantity.quantities import Quantity, tell
from hollowglow.quantity.reader import EVERYBODY, Reader
from hollowglow.quantity.words import several


@dataclass(frozen=True, slots=True)
class Pick:
    """What goes by another name for each who measures, such as the drill nearest to a hole: "4 mm or 5/32 in"."""

    metric: str
    us: str


Fact = Quantity | Pick | str | int | float | bool | tuple[Any, ...] | None
Facts = Mapping[str, Fact]
NO_WAYS: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Told:
    """The facts of a finding and of its mends, each told by its name.

    Attributes:
        facts: by name.
        reader: for whom quantities are told.
        ways: how who reads does what a mend asks for, by the sort of the mend ("with ..."); nothing where it is not said.
    """

    facts: Facts
    reader: Reader = EVERYBODY
    ways: Mapping[str, str] = field(default_factory=dict)

    def __getitem__(self, name: str) -> str:
        """Return a fact in words."""
        return self.say(self.facts[name])

    def raw(self, name: str) -> Any:
        """Return a fact as it is, None where the finding has none of this name."""
        return self.facts.get(name)

    def say(self, fact: Fact) -> str:
        """Return any fact in words."""
        if isinstance(fact, Quantity):
            return tell(fact, self.reader)
        if isinstance(fact, Pick):
            return " or ".join(self.reader.pick(fact.metric, fact.us))
        if isinstance(fact, tuple):
            return several([self.say(one) for one in fact])
        return f"{fact:,}" if isinstance(fact, int) else str(fact)

    def at_least(self, name: str) -> str:
        """Return "at least 0.68 A" so that who takes the shown number takes enough."""
        fact: Quantity = self.raw(name)
        return f"at least {self.say(replace(fact, value=rounded_up(fact.value)))}"

    def at_most(self, name: str) -> str:
        """Return "at most 0.67 A" so that who takes the shown number does not take too much."""
        fact: Quantity = self.raw(name)
        return f"at most {self.say(replace(fact, value=rounded_down(fact.value)))}"


Sentence = str | Callable[[Told], str]


@dataclass(frozen=True, slots=True)
class Words:
    """What is said of a code: a short title, a plain explanation, and the sentences of its findings and their mends.

    A sentence is a template of the names of facts, or a function of the facts where words depend on them.
    """

    title: str
    explanation: str
    message: Sentence
    mend: Sentence


def sentence(words: Sentence, told: Told) -> str:
    """Return a sentence with its facts in words."""
    return words.format_map(told) if isinstance(words, str) else words(told)


Phrase = str | tuple[Fact, ...]


def phrase(words: Phrase, reader: Reader = EVERYBODY) -> str:
    """Return words with quantities between them, told for a reader.

    >>> from hollowglow.quantity.quantities import small
    >>> phrase(("One hole of ", small(0.004), ": drill ", Pick("4 mm", "5/32 in"), "."), Reader("us"))
    'One hole of 0.16 in: drill 5/32 in.'
    """
    if isinstance(words, str):
        return words
    told = Told({}, reader)
    return "".join(told.say(part) for part in words)
