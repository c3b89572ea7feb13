"""One thing that the tool noticed: its code, where, the facts, and what would mend it; words come when it is read."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from hollowglow.messages.told import NO_WAYS, Fact, Facts, Told, sentence
from hollowglow.messages.words import WORDS
from hollowglow.quantity.reader import EVERYBODY, Reader

Severity = Literal["stop", "warn", "note"]
Stage = Literal["feed", "fill", "match", "address", "place"]
WEIGHT: dict[Severity, int] = {"stop": 0, "warn": 1, "note": 2}
SEVERITY_WORDS: dict[Severity, str] = {"stop": "Stop", "warn": "Warning", "note": "Note"}


def severity_count(severity: Severity, count: int) -> str:
    """Return how many of a severity there are, as a person reads it.

    >>> severity_count("warn", 2), severity_count("stop", 1)
    ('2 warnings', '1 stop')
    """
    return f"{count} {SEVERITY_WORDS[severity].lower()}{'' if count == 1 else 's'}"


@dataclass(frozen=True, slots=True)
class Mend:
    """One mend: its sort, what it has facts of, and the edits of the display file that carry it out, if any do."""

    sort: str
    facts: Facts = field(default_factory=dict)
    edits: tuple[Any, ...] = ()


@dataclass(frozen=True, slots=True)
class Code:
    """What a check can find, declared beside it.

    Attributes:
        name: of the code.
        severity: of its findings.
        stage: of the job at which it is mended.
        basis: source of its limit.
        facts: names of the facts of its findings.
        unmended: why no edit of the file follows from the facts alone; empty where one does.
    """

    name: str
    severity: Severity
    stage: Stage
    basis: str
    facts: tuple[str, ...]
    unmended: str = ""

    def found(
        self, where: Iterable[str], facts: Mapping[str, Fact], mends: Iterable[Mend] = (), basis: str | None = None
    ) -> Finding:
        """Return a finding of this code, with the code's basis unless another is given."""
        # No read-only view of it: that could not be sent from the process that computes.
        return Finding(self, tuple(where), dict(facts), tuple(mends), basis or self.basis)


@dataclass(frozen=True, slots=True)
class Finding:
    """A finding; `where` holds ids, `facts` what was found, `basis` the source of the limit, `mends` the ways out."""

    declared: Code
    where: tuple[str, ...]
    facts: Facts
    mends: tuple[Mend, ...]
    basis: str

    def __post_init__(self) -> None:
        if self.declared.name not in WORDS:
            raise KeyError(f"{self.declared.name} is not in the list of finding codes")
        if set(self.facts) != set(self.declared.facts):
            raise KeyError(f"{self.declared.name} has the facts {self.declared.facts}, not {tuple(self.facts)}")

    @property
    def code(self) -> str:
        """Return the name of its code."""
        return self.declared.name

    @property
    def severity(self) -> Severity:
        """Return how grave it is."""
        return self.declared.severity

    @property
    def message(self) -> str:
        """Return what was found, told in both units."""
        return self.told()

    @property
    def mend(self) -> str:
        """Return the ways out, told in both units."""
        return self.mend_told()

    def told(self, reader: Reader = EVERYBODY) -> str:
        """Return what was found, told for a reader."""
        return sentence(WORDS[self.code].message, Told(self.facts, reader))

    def mend_told(self, reader: Reader = EVERYBODY, ways: Mapping[str, str] = NO_WAYS) -> str:
        """Return the ways out, told for a reader, with how things are done where that is read."""
        facts: dict[str, Fact] = dict(self.facts)
        for one in self.mends:
            facts |= one.facts
        return sentence(WORDS[self.code].mend, Told(facts, reader, ways))


def by_weight(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return the findings with the gravest first, otherwise in the order in which they were made."""
    return tuple(sorted(findings, key=lambda f: WEIGHT[f.severity]))
