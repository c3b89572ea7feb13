"""What a light meter showed, as a person types it: lux at a distance, or the luminance of a spot."""

from __future__ import annotations

import re
from dataclasses import dataclass

from hollowglow.quantity.sizes import FOOT_M, INCH_M

LUX_PER_FOOT_CANDLE = 1.0 / FOOT_M**2
CD_M2_PER_FOOT_LAMBERT = 1.0 / (3.141592653589793 * FOOT_M**2)
# Nearer than five times the larger of source and meter the inverse square is off by 1 % or more.
LEAST_DISTANCES = 5.0

_LENGTHS_M = {"m": 1.0, "cm": 0.01, "mm": 0.001, "ft": FOOT_M, "in": INCH_M}
_NUMBER = r"(\d+(?:\.\d*)?|\.\d+)"
_LUX = re.compile(
    rf"{_NUMBER}\s*(lux|lx|fc)\s*(?:at|@)\s*{_NUMBER}\s*(mm|cm|m|ft|in)\b(?:\s*,?\s*dark\s*{_NUMBER}\s*(lux|lx|fc))?",
    re.IGNORECASE,
)
_SPOT = re.compile(rf"{_NUMBER}\s*(cd/m2|cd/m²|nit|nits|fl)", re.IGNORECASE)
_EXPECTED = 'KIND=READING, such as "float=12 lux at 2 m", "float=1.1 fc at 6 ft" or "float=850 cd/m2"'
_READING = 'a reading like "12 lux at 2 m", "1.1 fc at 6 ft" or "850 cd/m2"'


@dataclass(frozen=True, slots=True)
class MeterReading:
    """One kind by meter: intensity (cd) or luminance (cd/m2), and the distance (m) of a reading in lux."""

    kind: str
    luminance_cd_m2: float | None
    intensity_cd: float | None
    distance_m: float | None


def intensity_cd(lux: float, distance_m: float, dark_lux: float = 0.0) -> float:
    """Return the intensity towards a meter that faces the prop, I = (E - dark) d².

    Args:
        lux: illuminance with the prop lit.
        distance_m: from the middle of the prop to the meter, above 0.
        dark_lux: illuminance with the prop dark and all else the same.

    Returns:
        Intensity, cd; negative where it is brighter with the prop dark.

    Source: the photometric distance law (CIE 070); see `far_enough` for where it holds.
    """
    return (lux - dark_lux) * distance_m**2


def far_enough(distance_m: float, size_m: float) -> bool:
    """Return whether a prop of this size counts as a point at this distance: five times its size (CIE 070)."""
    return distance_m >= LEAST_DISTANCES * size_m


def parse_meter(text: str) -> MeterReading:
    """Return a reading as typed: "float=12 lux at 2 m, dark 0.3 lux", or "float=850 cd/m2".

    Foot-candles (fc), foot-lamberts (fL), feet and inches are read too.

    Raises:
        ValueError: something else, with what was expected.
    """
    kind, sign, what = text.rpartition("=")  # a kind may have = in its name, a reading has none
    kind, what = kind.strip(), what.strip()
    if not sign or not kind:
        raise ValueError(f"expected {_EXPECTED}")
    return reading_of(kind, what, _EXPECTED)


def reading_of(kind: str, typed: str, expected: str = _READING) -> MeterReading:
    """Return a reading of one kind as typed: "12 lux at 2 m, dark 0.3 lux", or "850 cd/m2".

    Raises:
        ValueError: something else, with what was expected.
    """
    what = typed.strip()
    spot = _SPOT.fullmatch(what)
    if spot:
        factor = CD_M2_PER_FOOT_LAMBERT if spot.group(2).lower() == "fl" else 1.0
        return MeterReading(kind, _above_zero(float(spot.group(1)) * factor), None, None)
    lux = _LUX.fullmatch(what)
    if lux is None:
        raise ValueError(f"expected {expected}")
    number, unit, far, length, dark, dark_unit = lux.groups()
    distance = _above_zero(float(far) * _LENGTHS_M[length.lower()])
    background = _lux(dark, dark_unit) if dark else 0.0
    return MeterReading(kind, None, _above_zero(intensity_cd(_lux(number, unit), distance, background)), distance)


def _lux(number: str, unit: str) -> float:
    return float(number) * (LUX_PER_FOOT_CANDLE if unit.lower() == "fc" else 1.0)


def _above_zero(value: float) -> float:
    if not 0.0 < value < 1e12:
        raise ValueError("expected a reading and a distance above zero, and less light with the prop dark")
    return value
