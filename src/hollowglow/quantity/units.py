"""Quantities as a person writes them ("6 ft", "18.5 mA", "20 AWG"), turned into SI floats at this border only."""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Annotated, Any

from pydantic import BeforeValidator, WithJsonSchema

from hollowglow.physics import copper
from hollowglow.quantity import measures
from hollowglow.quantity.measures import Measure
from hollowglow.quantity.shown import DECIMAL_COMMA, refuse, show
from hollowglow.quantity.unit_list import DEFINITIONS, EXACT

_DECIMAL = r"(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?"
_NUMBER = re.compile(rf"\s*([+-]?(?:\d+(?:\s+|-)\d+/\d+|\d+/\d+|{_DECIMAL}))\s*")
_FACTOR = r"[A-Za-z°Ω]+(?:(?:\*\*|\^)-?\d{1,2}(?![\w.])|[23](?![\w.]))?\.?"
_UNIT = re.compile(rf"(%|''|['\"]|{_FACTOR}(?:\s*[/*·]\s*{_FACTOR})*)[ \t]*")
_LONGEST = 60

# Signs that look alike, one spelling each; NFKC folds full-width digits, odd spaces and fractions before.
_SIGNS = str.maketrans({"⁄": "/", "−": "-", "’": "'", "‘": "'", "′": "'", "“": '"', "”": '"', "º": "°", "μ": "u"})
_FRACTION = re.compile(r"(?<=\d)(?=[¼-¾⅐-⅞])")
_SPELLINGS = {"'": "ft", '"': "in", "''": "in", "C": "degC", "F": "degF", "percent": "%"}


@cache
def _registry() -> Any:
    import pint

    # pint's own list takes a fifth of a second to read, which everyone would wait for at every start.
    return pint.UnitRegistry(DEFINITIONS.splitlines(), autoconvert_offset_to_baseunit=True)


def _plain(text: str) -> str:
    text = unicodedata.normalize("NFKC", _FRACTION.sub(" ", text.replace("º", "°"))).translate(_SIGNS)
    text = re.sub(r"(?:°|\bdeg)\s+(?=[CF]\b)", "deg", text)
    return re.sub(r"/\s*1000\s*ft\b", "/kft", text).strip()


def _spell(unit: str) -> str:
    unit = re.sub(r"\s", "", unit).replace(".", "").replace("^", "**").replace("·", "*")
    unit = re.sub(r"(?<=[A-Za-z])([23])(?!\d)", r"**\1", unit)
    unit = unit.replace("Ω", "ohm").replace("°", "deg")
    unit = re.sub(r"Ohm(s?)\b", r"ohm\1", unit)
    return _SPELLINGS.get(unit, unit)


@lru_cache(maxsize=1024)
def _to_si(unit: str, si: str) -> tuple[float, float] | str:
    """Return (scale, offset) from `unit` to `si`, or the phrase "dimension" or "unit" where there is none."""
    exact = EXACT.get((unit, si))
    if exact is not None:
        return exact, 0.0
    registry = _registry()
    try:
        zero = registry.Quantity(0.0, unit).to(si).magnitude
        one = registry.Quantity(1.0, unit).to(si).magnitude
    except Exception as error:  # pint raises a family of unrelated types for a bad unit
        return "dimension" if type(error).__name__ == "DimensionalityError" else "unit"
    return float(one - zero), float(zero)


def _factor(unit: str, measure: Measure) -> tuple[float, float] | str:
    spelled = _spell(unit)
    if measure.unit == "":
        return (0.01, 0.0) if spelled == "%" else "dimension"
    meant = measure.lenient.get(spelled.lower())
    exact = "unit" if measure.strict or spelled == "%" else _to_si(spelled, measure.unit)
    if isinstance(exact, str) and meant is not None:
        return _to_si(meant, measure.unit)
    if measure.strict and _to_si(spelled, measure.unit) != "unit":
        return "dimension"
    return exact


def _number(text: str) -> float:
    whole, _, last = text.rpartition(" ") if " " in text else text.rpartition("-")
    above, slash, below = last.partition("/")
    if not slash:
        return float(text)
    if float(below) == 0.0:
        return math.nan
    part = float(above) / float(below)
    if whole in ("", "-", "+"):
        return math.copysign(part, -1.0) if whole == "-" else part
    return float(whole) + math.copysign(part, -1.0 if whole.startswith("-") else 1.0)


@dataclass(frozen=True, slots=True)
class _NotAQuantity:
    """Why a text is no quantity, and what to do about it."""

    found: str
    mend: str = ""


@lru_cache(maxsize=8192)
def _parse_text(text: str, measure: Measure) -> float | _NotAQuantity:
    """Return the SI value of `text`, or what is wrong with it."""
    shown = show(text)
    if not text.strip():
        return _NotAQuantity("an empty text")
    if len(text) > _LONGEST:
        return _NotAQuantity(f"{shown} ({len(text)} characters)")
    if "," in text:
        return _NotAQuantity(shown, DECIMAL_COMMA)
    plain = _plain(text)
    position, total, last_scale = 0, 0.0, math.inf
    while position < len(plain):
        number = _NUMBER.match(plain, position)
        if number is None:
            return _NotAQuantity(shown if position == 0 else f"{shown}, where {show(plain[position:])} does not belong")
        unit = _UNIT.match(plain, number.end())
        if unit is None:
            if number.end() < len(plain):
                return _NotAQuantity(f"{shown}, where {show(plain[number.end() :])} does not belong")
            if position:
                return _NotAQuantity(f"{shown}, where {show(number.group(1))} has no unit")
            return _NotAQuantity(f"{shown} without " + ("a unit" if measure.unit else "the % sign"))
        factor = _factor(unit.group(1), measure)
        if factor == "unit":
            return _NotAQuantity(f"{shown}, where {show(unit.group(1))} is not a unit known here")
        if isinstance(factor, str):
            return _NotAQuantity(f"{shown}, which is not {measure.name}")
        scale, offset = factor
        if position and (not measure.adds_up or number.group(1)[0] in "+-" or scale >= last_scale):
            return _NotAQuantity(f"{shown}, where {show(plain[position:])} does not belong")
        # A sign before the first term is that of all of them: -4 ft 6 in is 4 ft 6 in to the other side.
        sign = -1.0 if position and plain.startswith("-") else 1.0
        total += sign * _number(number.group(1)) * scale + offset
        last_scale = scale
        position = unit.end()
    if not math.isfinite(total):
        return _NotAQuantity(f"{shown}, which is not a finite number")
    if not measure.allows(total):
        return _NotAQuantity(shown)
    return total if total >= measure.counts_from or total < 0.0 else 0.0


def parse(value: object, measure: Measure) -> float:
    """Return `value` as a float in the measure's SI unit.

    Args:
        value: text such as "6 ft", "5 ft 6 in", "3/8 in", "18.5 mA".
        measure: what it must be.

    Raises:
        PydanticCustomError: with what was found and what was expected.
    """
    if isinstance(value, str):
        result = _parse_text(value, measure)
        if isinstance(result, _NotAQuantity):
            raise refuse(result.found, measure.expected, result.mend)
        return result
    found = show(value)
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        if isinstance(value, float) and not math.isfinite(value):
            found += ", which is not a finite number"
        else:
            found += " without " + ("a unit" if measure.unit else "the % sign")
    raise refuse(found, measure.expected)


def parse_share(value: object, measure: Measure) -> float:
    """Return a share written as a number (0.85) or in percent ("85 %"); raises PydanticCustomError as `parse` does."""
    if isinstance(value, str):
        return parse(value, measure)
    if not isinstance(value, (int, float)) or isinstance(value, bool):
        raise refuse(show(value), measure.expected)
    if not measure.allows(value):
        mend = f'Did you mean "{value:g} %"?' if 5 <= value <= 100 else ""
        raise refuse(show(value), measure.expected, mend)
    return float(value)


def _field(measure: Measure) -> Any:
    """Return what annotates a quantity: its measure, how it is read, and its form in the schema."""

    def read(value: object) -> float:
        return parse(value, measure)

    unit = measure.unit or "%"
    form = {"type": "string", "description": f"{measure.expected}; inside: {unit}"}
    return measure, BeforeValidator(read), WithJsonSchema(form)


def _share_field(measure: Measure) -> Any:
    def read(value: object) -> float:
        return parse_share(value, measure)

    form = {"type": ["number", "string"], "description": measure.expected}
    return measure, BeforeValidator(read), WithJsonSchema(form)


Length = Annotated[float, *_field(measures.LENGTH)]
ShortLength = Annotated[float, *_field(measures.SHORT_LENGTH)]
Offset = Annotated[float, *_field(measures.OFFSET)]
Fit = Annotated[float, *_field(measures.FIT)]
LengthOrZero = Annotated[float, *_field(measures.LENGTH_OR_ZERO)]
Voltage = Annotated[float, *_field(measures.VOLTAGE)]
SupplyVoltage = Annotated[float, *_field(measures.SUPPLY_VOLTAGE)]
CutoffVoltage = Annotated[float, *_field(measures.CUTOFF_VOLTAGE)]
VoltageOrZero = Annotated[float, *_field(measures.VOLTAGE_OR_ZERO)]
Current = Annotated[float, *_field(measures.CURRENT)]
LightCurrent = Annotated[float, *_field(measures.LIGHT_CURRENT)]
IdleCurrent = Annotated[float, *_field(measures.IDLE_CURRENT)]
Power = Annotated[float, *_field(measures.POWER)]
LightPower = Annotated[float, *_field(measures.LIGHT_POWER)]
Resistance = Annotated[float, *_field(measures.RESISTANCE)]
ResistanceOrZero = Annotated[float, *_field(measures.RESISTANCE_OR_ZERO)]
ResistancePerLength = Annotated[float, *_field(measures.RESISTANCE_PER_LENGTH)]
Temperature = Annotated[float, *_field(measures.TEMPERATURE)]
Rate = Annotated[float, *_field(measures.RATE)]
PulseRate = Annotated[float, *_field(measures.PULSE_RATE)]
Share = Annotated[float, *_field(measures.SHARE)]
ShareOfParts = Annotated[float, *_field(measures.SHARE_OF_PARTS)]
Tolerance = Annotated[float, *_field(measures.TOLERANCE)]
TemperatureStep = Annotated[float, *_field(measures.TEMPERATURE_STEP)]
ShareNotZero = Annotated[float, *_field(measures.SHARE_NOT_ZERO)]
MainsVoltage = Annotated[float, *_field(measures.MAINS_VOLTAGE)]
Breaker = Annotated[float, *_field(measures.BREAKER)]
Residual = Annotated[float, *_field(measures.RESIDUAL)]
Leakage = Annotated[float, *_field(measures.LEAKAGE)]
Inrush = Annotated[float, *_field(measures.INRUSH)]
Night = Annotated[float, *_field(measures.NIGHT)]
Burst = Annotated[float, *_field(measures.BURST)]
Mass = Annotated[float, *_field(measures.MASS)]
Time = Annotated[float, *_field(measures.TIME)]
BitTime = Annotated[float, *_field(measures.BIT_TIME)]
ResetTime = Annotated[float, *_field(measures.RESET_TIME)]
Angle = Annotated[float, *_field(measures.ANGLE)]
Flux = Annotated[float, *_field(measures.FLUX)]
Ratio = Annotated[float, *_share_field(measures.RATIO)]
Efficiency = Annotated[float, *_share_field(measures.EFFICIENCY)]


@dataclass(frozen=True, slots=True)
class WireSize:
    """A conductor size as written: AWG number or nominal area in mm²."""

    awg: int | None = None
    mm2: float | None = None

    def __str__(self) -> str:
        return f"{self.awg} AWG" if self.awg is not None else f"{self.mm2:g} mm2"


_SIZE = re.compile(rf"(?:(\d{{1,2}})\s*AWG|AWG\s*(\d{{1,2}})|({_DECIMAL})\s*mm(?:\^|\*\*)?2)", re.IGNORECASE)


def parse_size(value: object) -> WireSize:
    """Return a conductor size from "20 AWG" or "0.75 mm2"; raises PydanticCustomError where it is not in the tables."""
    mend = ""
    if isinstance(value, str):
        match = _SIZE.fullmatch(_plain(value[:_LONGEST]))
        if match is not None:
            awg = match.group(1) or match.group(2)
            size = WireSize(awg=int(awg)) if awg else WireSize(mm2=float(match.group(3)))
            if size.awg in copper.AWG_SIZES or size.mm2 in copper.CLASS5_MAX_OHM_PER_KM:
                return size
        mend = DECIMAL_COMMA if "," in value else ""
    elif isinstance(value, (int, float)) and not isinstance(value, bool):
        if value in copper.CLASS5_MAX_OHM_PER_KM:
            mend = f'Did you mean "{value:g} mm2"?'
        elif value in copper.AWG_SIZES:
            mend = f'Did you mean "{value} AWG"?'
    areas = ", ".join(f"{a:g}" for a in copper.CLASS5_MAX_OHM_PER_KM)
    expected = (
        f'a conductor size like "20 AWG" ({min(copper.AWG_SIZES)} to {max(copper.AWG_SIZES)}) '
        f'or "0.75 mm2" (one of {areas})'
    )
    raise refuse(show(value), expected, mend)


ConductorSize = Annotated[
    WireSize,
    BeforeValidator(parse_size),
    WithJsonSchema({"type": "string", "description": 'a conductor size like "20 AWG" or "0.75 mm2"'}),
]
