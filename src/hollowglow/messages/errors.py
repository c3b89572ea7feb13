"""What went wrong with a person's file, in a form that every presenter can show."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with a display file: where it stands, what was found, what was expected, one way out."""

    where: str
    found: str
    expected: str
    mend: str = ""
    line: int | None = None

    def text(self, file: str) -> str:
        """Return the problem as one sentence for a person, starting with file and line."""
        place = file if self.line is None else f"{file}, line {self.line}"
        key = f", {self.where}" if self.where else ""
        mend = f" {self.mend}" if self.mend else ""
        return f"{place}{key}: found {self.found}, expected {self.expected}.{mend}"


class HollowglowError(Exception):
    """Base of every error that a person is meant to read."""


class DisplayError(HollowglowError):
    """A display file that cannot be read; carries every problem found in it."""

    def __init__(self, file: str, problems: Sequence[Problem]) -> None:
        self.file = file
        self.problems = tuple(problems)
        super().__init__("\n".join(p.text(file) for p in self.problems))
