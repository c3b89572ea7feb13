"""Quantities as a person writes them ("6 ft", "18.5 mA", "20 AWG"), turned into SI floats at this border only."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Annotated, Any

from pydantic import BeforeValidator, WithJsonSchema
from pydantic_core import PydanticCustomError

_NUMBER = r"[+-]?(?:\d+\s+\d+/\d+|\d+/\d+|\d+(?:\.\d*)?(?:[eE][+-]?\d+)?|\.\d+(?:[eE][+-]?\d+)?)"
_TERM = re.compile(rf"\s*({_NUMBER})\s*([A-Za-zµμΩ°%\"'][A-Za-zµμΩ°%0-9/^*²³]*)?\s*")
_SPELLINGS = {"Ω": "ohm", "μ": "µ", "°C": "degC", "°F": "degF", "²": "**2", "³": "**3", "^": "**"}
_LONGEST = 60


@dataclass(frozen=True, slots=True)
class Measure:
    """What one kind of quantity may be: its SI unit, an example, and the range beyond which it is absurd."""

    name: str
    unit: str
    example: str
    low: float
    high: float
    low_text: str
    high_text: str
    low_open: bool = False

    @property
    def expected(self) -> str:
        """Return the phrase that follows "expected" in an error."""
        bound = "more than" if self.low_open else "from"
        return f"{self.name} like {self.example} ({bound} {self.low_text} to {self.high_text})"


LENGTH = Measure("a length", "m", '"6 ft" or "1.8 m"', 0.0, 2000.0, "0 m", "2000 m", low_open=True)
LENGTH_OR_ZERO = Measure("a length", "m", '"150 mm" or "6 in"', 0.0, 2000.0, "0 m", "2000 m")
VOLTAGE = Measure("a voltage", "V", '"12 V"', 0.0, 60.0, "0 V", "60 V", low_open=True)
VOLTAGE_OR_ZERO = Measure("a voltage", "V", '"0.6 V"', 0.0, 60.0, "0 V", "60 V")
CURRENT = Measure("a current", "A", '"5 A" or "18.5 mA"', 0.0, 200.0, "0 A", "200 A", low_open=True)
CURRENT_OR_ZERO = Measure("a current", "A", '"1 mA"', 0.0, 200.0, "0 A", "200 A")
POWER = Measure("a power", "W", '"100 W"', 0.0, 5000.0, "0 W", "5000 W", low_open=True)
POWER_OR_ZERO = Measure("a power", "W", '"0.12 W"', 0.0, 5000.0, "0 W", "5000 W")
RESISTANCE = Measure("a resistance", "ohm", '"330 ohm"', 0.0, 1e6, "0 ohm", "1 Mohm", low_open=True)
RESISTANCE_OR_ZERO = Measure("a resistance", "ohm", '"5 mohm"', 0.0, 1e3, "0 ohm", "1000 ohm")
RESISTANCE_PER_LENGTH = Measure(
    "a resistance per length", "ohm/m", '"0.0335 ohm/m"', 1e-6, 100.0, "0.000001 ohm/m", "100 ohm/m"
)
TEMPERATURE = Measure("a temperature", "degC", '"5 degC" or "41 degF"', -60.0, 120.0, "-60 degC", "120 degC")
RATE = Measure("a rate", "Hz", '"40 Hz"', 0.1, 1000.0, "0.1 Hz", "1000 Hz")
SHARE = Measure("a percentage", "", '"40 %"', 0.0, 1.0, "0 %", "100 %")
MASS = Measure("a mass", "kg", '"35 g"', 0.0, 1000.0, "0 g", "1000 kg")
TIME = Measure("a time", "s", '"3 min" or "280 us"', 0.0, 1e6, "0 s", "1000000 s")
ANGLE = Measure("an angle", "degree", '"120 deg"', 0.0, 360.0, "0 deg", "360 deg", low_open=True)
FLUX = Measure("a luminous flux", "lumen", '"4 lm"', 0.0, 1e5, "0 lm", "100000 lm")


@cache
def _registry() -> Any:
    import pint

    registry: Any = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
    registry.define("mohm = 0.001 * ohm")
    return registry


def _spell(unit: str) -> str:
    for written, meant in _SPELLINGS.items():
        unit = unit.replace(written, meant)
    unit = re.sub(r"(?<=[A-Za-z])([23])$", r"**\1", unit)
    return {"'": "ft", '"': "in", "C": "degC", "F": "degF"}.get(unit, unit)


@lru_cache(maxsize=512)
def _unit_factor(unit: str, si: str) -> tuple[float, float] | str:
    """Return (scale, offset) from `unit` to `si`, or a phrase saying why there is none."""
    registry = _registry()
    try:
        zero = registry.Quantity(0.0, _spell(unit)).to(si).magnitude
        one = registry.Quantity(1.0, _spell(unit)).to(si).magnitude
    except Exception as error:  # pint raises a family of unrelated types for a bad unit
        kind = type(error).__name__
        return "dimension" if kind == "DimensionalityError" else "unit"
    return float(one - zero), float(zero)


def _number(text: str) -> float:
    whole = 0.0
    parts = text.split()
    if len(parts) == 2:
        whole = float(parts[0])
    last = parts[-1]
    if "/" in last:
        above, below = last.split("/")
        if float(below) == 0.0:
            return math.nan
        last_value = float(above) / float(below)
        return whole + math.copysign(last_value, whole) if len(parts) == 2 else last_value
    return float(last)


def _refuse(found: str, measure: Measure) -> PydanticCustomError:
    return PydanticCustomError("quantity", "{found}|{expected}", {"found": found, "expected": measure.expected})


def show(value: object) -> str:
    """Return a value from a file as short quoted text for a message."""
    if isinstance(value, str):
        text = value if len(value) <= _LONGEST else value[: _LONGEST - 3] + "..."
        return f'"{text}"'
    if isinstance(value, bool):
        return "true" if value else "false"
    if value is None:
        return "nothing"
    if isinstance(value, dict):
        return "a table of keys"
    if isinstance(value, (list, tuple)):
        return "a list"
    text = str(value)
    return text if len(text) <= _LONGEST else text[: _LONGEST - 3] + "..."


@lru_cache(maxsize=8192)
def _parse_text(text: str, measure: Measure) -> float | str:
    """Return the SI value of `text`, or the phrase saying what is wrong with it."""
    if len(text) > _LONGEST:
        return f"{show(text)} ({len(text)} characters)"
    position = 0
    total = 0.0
    terms = 0
    while position < len(text):
        match = _TERM.match(text, position)
        if match is None or match.end() == position:
            return show(text)
        number, unit = match.groups()
        if unit is None:
            if measure.unit == "":
                return f"{show(text)} without the % sign"
            return f"{show(text)} without a unit"
        if measure.unit == "":
            if unit != "%":
                return f"{show(text)}, which is not a percentage"
            scale, offset = 0.01, 0.0
        else:
            factor = _unit_factor(unit, measure.unit)
            if isinstance(factor, str):
                if factor == "dimension":
                    return f"{show(text)}, which is not {measure.name}"
                return f"{show(text)}, where {show(unit)} is not a unit known here"
            scale, offset = factor
        value = _number(number) * scale + offset
        if terms and (measure is not LENGTH and measure is not LENGTH_OR_ZERO):
            return show(text)
        total += value
        terms += 1
        position = match.end()
    if terms == 0:
        return show(text) if text else "an empty text"
    if not math.isfinite(total):
        return f"{show(text)}, which is not a finite number"
    if total < measure.low or (measure.low_open and total == measure.low) or total > measure.high:
        return show(text)
    return total


def parse(value: object, measure: Measure) -> float:
    """Return `value` as a float in the measure's SI unit.

    Args:
        value: text such as "6 ft", "5 ft 6 in", "3/8 in", "18.5 mA".
        measure: what it must be.

    Raises:
        PydanticCustomError: with what was found and what was expected.
    """
    if isinstance(value, str):
        result = _parse_text(value.strip(), measure)
        if isinstance(result, str):
            raise _refuse(result, measure)
        return result
    if isinstance(value, bool) or value is None or not isinstance(value, (int, float)):
        raise _refuse(show(value), measure)
    raise _refuse(f"{show(value)} without a unit", measure)


def _field(measure: Measure) -> Any:
    def read(value: object) -> float:
        return parse(value, measure)

    unit = measure.unit or "%"
    return (
        BeforeValidator(read),
        WithJsonSchema({"type": "string", "description": f"{measure.expected}; inside: {unit}"}),
    )


Length = Annotated[float, *_field(LENGTH)]
LengthOrZero = Annotated[float, *_field(LENGTH_OR_ZERO)]
Voltage = Annotated[float, *_field(VOLTAGE)]
VoltageOrZero = Annotated[float, *_field(VOLTAGE_OR_ZERO)]
Current = Annotated[float, *_field(CURRENT)]
CurrentOrZero = Annotated[float, *_field(CURRENT_OR_ZERO)]
Power = Annotated[float, *_field(POWER)]
PowerOrZero = Annotated[float, *_field(POWER_OR_ZERO)]
Resistance = Annotated[float, *_field(RESISTANCE)]
ResistanceOrZero = Annotated[float, *_field(RESISTANCE_OR_ZERO)]
ResistancePerLength = Annotated[float, *_field(RESISTANCE_PER_LENGTH)]
Temperature = Annotated[float, *_field(TEMPERATURE)]
Rate = Annotated[float, *_field(RATE)]
Share = Annotated[float, *_field(SHARE)]
Mass = Annotated[float, *_field(MASS)]
Time = Annotated[float, *_field(TIME)]
Angle = Annotated[float, *_field(ANGLE)]
Flux = Annotated[float, *_field(FLUX)]


@dataclass(frozen=True, slots=True)
class Size:
    """A conductor size as written: AWG number or nominal area in mm²."""

    awg: int | None = None
    mm2: float | None = None

    def __str__(self) -> str:
        return f"{self.awg} AWG" if self.awg is not None else f"{self.mm2:g} mm2"


_SIZE = re.compile(r"\s*(?:(\d{1,2})\s*AWG|AWG\s*(\d{1,2})|(\d+(?:\.\d+)?)\s*mm(?:2|²|\^2))\s*", re.IGNORECASE)


def parse_size(value: object) -> Size:
    """Return a conductor size from "20 AWG" or "0.75 mm2"; raises PydanticCustomError where it is not in the tables."""
    from strandwright.physics import copper

    if isinstance(value, Size):
        return value
    match = _SIZE.fullmatch(value) if isinstance(value, str) else None
    if match is not None:
        awg = match.group(1) or match.group(2)
        size = Size(awg=int(awg)) if awg else Size(mm2=float(match.group(3)))
        if size.awg in copper.AWG_SIZES or size.mm2 in copper.CLASS5_MAX_OHM_PER_KM:
            return size
    areas = ", ".join(f"{a:g}" for a in copper.CLASS5_MAX_OHM_PER_KM)
    expected = (
        f'a conductor size like "20 AWG" ({min(copper.AWG_SIZES)} to {max(copper.AWG_SIZES)}) '
        f'or "0.75 mm2" (one of {areas})'
    )
    raise PydanticCustomError("quantity", "{found}|{expected}", {"found": show(value), "expected": expected})


ConductorSize = Annotated[
    Size,
    BeforeValidator(parse_size),
    WithJsonSchema({"type": "string", "description": 'a conductor size like "20 AWG" or "0.75 mm2"'}),
]
