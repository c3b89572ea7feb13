"""One thing that the tool noticed: where, what, why, and what would mend it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from hollowglow.messages.codes import CODES

Severity = Literal["stop", "warn", "note"]
WEIGHT: dict[Severity, int] = {"stop": 0, "warn": 1, "note": 2}
SEVERITY_WORDS: dict[Severity, str] = {"stop": "Stop", "warn": "Warning", "note": "Note"}


def severity_count(severity: Severity, count: int) -> str:
    """Return how many of a severity there are, as a person reads it.

    >>> severity_count("warn", 2), severity_count("stop", 1)
    ('2 warnings', '1 stop')
    """
    return f"{count} {SEVERITY_WORDS[severity].lower()}{'' if count == 1 else 's'}"


@dataclass(frozen=True, slots=True)
class Finding:
    """A finding; `where` holds ids, `message` numbers with units, `basis` the source of the limit, `mend` a way out."""

    code: str
    severity: Severity
    where: tuple[str, ...]
    message: str
    basis: str
    mend: str

    def __post_init__(self) -> None:
        if self.code not in CODES:
            raise KeyError(f"{self.code} is not in the list of finding codes")


def finding(code: str, where: Iterable[str], message: str, mend: str, basis: str | None = None) -> Finding:
    """Return a finding with the severity of its code, and with its code's basis unless another is given."""
    entry = CODES[code]
    return Finding(code, entry.severity, tuple(where), message, basis or entry.basis, mend)


def by_weight(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return the findings with the gravest first, otherwise in the order in which they were made."""
    return tuple(sorted(findings, key=lambda f: WEIGHT[f.severity]))
