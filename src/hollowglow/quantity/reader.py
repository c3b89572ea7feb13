"""For whom a quantity is told: the units that the reader measures by."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Units = Literal["metric", "us", "both"]


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


EVERYBODY = Reader()
METRIC = Reader("metric")
US = Reader("us")
