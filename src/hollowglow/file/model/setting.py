"""What a controller lets one type for a brightness: in which steps, and what duty comes of it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated

from pydantic import BeforeValidator, WithJsonSchema

from hollowglow.quantity.shown import refuse, show

PERCENT, BYTE = 100, 255


@dataclass(frozen=True, slots=True)
class Curve:
    """The duty that comes of a setting, both 0 to 1: duty = setting to the power of `gamma`."""

    gamma: float

    def duty(self, setting: float) -> float:
        """Return the duty of a setting."""
        return float(setting**self.gamma)

    def setting(self, duty: float) -> float:
        """Return the setting that gives a duty."""
        return float(duty ** (1.0 / self.gamma))

    def __str__(self) -> str:
        return "linear" if self.gamma == 1.0 else f"gamma {self.gamma:g}"


LINEAR = Curve(1.0)
_GAMMA = re.compile(r"\s*gamma\s+(\d{1,2}(?:\.\d{1,6})?)\s*")
_LEAST, _MOST = 1.0, 4.0


def _read_steps(value: object) -> int:
    if value == "percent":
        return PERCENT
    if value == BYTE and not isinstance(value, (bool, float)):
        return BYTE
    raise refuse(show(value), "percent (it is told 0 to 100), or 255 (it is told 0 to 255)")


def _read_curve(value: object) -> Curve:
    if value == "linear":
        return LINEAR
    match = _GAMMA.fullmatch(value) if isinstance(value, str) else None
    if match is None or not _LEAST <= float(match.group(1)) <= _MOST:
        raise refuse(show(value), f'linear, or a power like "gamma 2.2" (from {_LEAST:g} to {_MOST:g})')
    return Curve(float(match.group(1)))


Steps = Annotated[int, BeforeValidator(_read_steps), WithJsonSchema({"enum": ["percent", BYTE]})]
CurveField = Annotated[
    Curve,
    BeforeValidator(_read_curve),
    WithJsonSchema({"type": "string", "pattern": r"^ *(linear|gamma +[0-9]{1,2}(\.[0-9]{1,6})?) *$"}),
]
