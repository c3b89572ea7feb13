"""For whom quantities are told: the units that the reader measures by."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeVar

Units = Literal["metric", "us", "both"]
T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Reader:
    """Who reads.

    Attributes:
        units: what the reader measures by; of both, US ones stand first where `us_first`.
        unknown: what stands for a value that is not known.
    """

    units: Units = "both"
    us_first: bool = False
    unknown: str = "unknown"

    def pick(self, metric: T, us: T) -> tuple[T, ...]:
        """Return which of two things the reader wants, in the order wanted.

        >>> Reader("us").pick("12.0 mm", "0.47 in"), Reader(us_first=True).pick("12.0 mm", "0.47 in")
        (('0.47 in',), ('0.47 in', '12.0 mm'))
        """
        if self.units == "both":
            return (us, metric) if self.us_first else (metric, us)
        return (metric,) if self.units == "metric" else (us,)

    def told(self, metric: str, us: str) -> str:
        """Return a measure in the reader's units, given in words of each: 12.0 mm, 0.47 in, or 12.0 mm / 0.47 in."""
        return " / ".join(self.pick(metric, us))


EVERYBODY = Reader()
METRIC = Reader("metric")
US = Reader("us")
