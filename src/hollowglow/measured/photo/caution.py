"""What makes a photograph hard to trust, told with its reason and a way out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

# Drivers in one-wire lights pulse at some 400 Hz to 2 kHz; the slowest is the one to fear.
PWM_HZ = 400.0
PWM_PERIODS = 2.0


@dataclass(frozen=True, slots=True)
class Caution:
    """Something that makes the figures doubtful: a code, the photographs or props, what was found, what would mend it."""

    code: str
    where: tuple[str, ...]
    message: str
    mend: str

    def text(self) -> str:
        """Return it as one line."""
        return f"{', '.join(self.where)}: {self.message} {self.mend}"


def of_names(names: Sequence[str]) -> str:
    """Return names as words: "a", "a and b", "a, b and c"."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
