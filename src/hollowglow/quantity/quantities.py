"""Quantities as facts: a value in SI units and its sort, told in the units of whoever reads it."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Protocol

from hollowglow.quantity.inches import EIGHTHS, feet_and_inches
from hollowglow.quantity.numbers import number
from hollowglow.quantity.reader import EVERYBODY, Reader
from hollowglow.quantity.sizes import FOOT_IN, FOOT_M, INCH_M, OUNCE_KG, POUND_KG


class Sort(StrEnum):
    """What a quantity is of, and how finely that is told; in brackets the unit of its value."""

    NUMBER = "number"  # a bare one
    VOLTAGE = "voltage"  # V
    CURRENT = "current"  # A
    POWER = "power"  # W
    ENERGY = "energy"  # J
    RESISTANCE = "resistance"  # ohm
    TEMPERATURE = "temperature"  # degC
    TIME = "time"  # s
    RATE = "rate"  # Hz
    SHARE = "share"  # of 1
    LUMINANCE = "luminance"  # cd/m2
    INTENSITY = "intensity"  # cd
    FLUX = "flux"  # lm
    ILLUMINANCE = "illuminance"  # lx
    LENGTH = "length"  # m, in a sentence
    RUN = "run of cable"  # m, as a tape shows it
    DRAWN = "drawn run"  # m, on a diagram, short
    STRETCH = "stretch"  # m, on a page, for a hand that measures
    BOUGHT = "bought length"  # m
    SMALL = "small length"  # m, of a workshop
    BENCH = "length on the bench"  # m
    EXTENT = "extent on a drawing"  # m
    DISTANCE = "distance"  # m, for the eye
    MASS = "mass"  # kg, of a prop
    WEIGHT = "weight"  # kg, of anything
    LOAD = "load"  # kg, on a hook
    RATED_LOAD = "rated load"  # kg, as a hook's maker states it
    LEAST_LENGTH = "least length"  # m, rounded up in each unit: none is too short
    LEAST_LOAD = "least load"  # kg, rounded up in each unit
    BOX = "mass of a box"  # kg


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value in the SI unit of its sort.

    Attributes:
        value: in the unit that `Sort` names; not finite where it is not known.
        sort: what it is of.
        digits: how many significant digits are told instead of the sort's own rounding; in SI units only.
        stated: whether the value is one that somebody stated, which is told as it is ("12 V").
    """

    value: float
    sort: Sort
    digits: int | None = None
    stated: bool = False


@dataclass(frozen=True, slots=True)
class _Way:
    """How one sort is told: in SI units, in US ones where they differ, and in both."""

    unit: str
    metric: Callable[[float], str]
    us: Callable[[float], str] | None = None
    both: str = "{} ({})"


def tell(quantity: Quantity, reader: Reader = EVERYBODY) -> str:
    """Return a quantity in the units of a reader.

    >>> from hollowglow.quantity.reader import METRIC, US
    >>> tell(voltage(11.4166)), tell(current(0.0185)), tell(current(3.08)), tell(power(180.0)), tell(share(0.0724))
    ('11.42 V', '18.5 mA', '3.08 A', '180 W', '7.2 %')
    >>> tell(length(4.0)), tell(length(4.0), METRIC), tell(length(4.0), US), tell(length(0.15))
    ('4.00 m (13.1 ft)', '4.00 m', '13.1 ft', '150 mm (5.9 in)')
    >>> tell(small(0.0128)), tell(mass(0.212)), tell(small(0.0128), Reader(us_first=True))
    ('12.8 mm (0.50 in)', '212 g (7.5 oz)', '0.50 in (12.8 mm)')
    >>> tell(run(4.06)), tell(run(0.66), US), tell(drawn(4.06)), tell(bought(106.46)), tell(distance(10.0))
    ('4.06 m / 13 ft 3 7/8 in', '2 ft 2 in', '4.1 m / 13.3 ft', '106.5 m / 349 ft', '10 m (33 ft)')
    >>> tell(stretch(1.8)), tell(stretch(0.15), Reader(us_first=True)), tell(stretch(-3.0), US), tell(stretch(3048.0), US)
    ('1.80 m (5 ft 11 in)', '5 7/8 in (150 mm)', '-9 ft 10 in', '10,000 ft')
    >>> tell(bench(0.0127)), tell(extent(0.3)), tell(weight(0.2264)), tell(weight(1.71)), tell(load(9.0)), tell(box(9.0))
    ('12.7 mm / 0.50 in', '300 mm / 11.8 in', '226 g / 8.0 oz', '1.71 kg / 3.77 lb', '9.0 kg (19.8 lb)', '9.0 kg / 19.8 lb')
    >>> tell(rated_load(20.0)), tell(least_length(1.501)), tell(least_load(9.03), US)
    ('20 kg (44.1 lb)', '1.51 m (5.0 ft)', '20.0 lb')
    >>> tell(time(9000.0)), tell(time(0.04)), tell(voltage(math.nan)), tell(voltage(math.nan), Reader(unknown="–"))
    ('2.5 h', '40 ms', 'unknown', '–')
    >>> tell(voltage(12.0, stated=True)), tell(voltage(11.274, digits=4)), tell(luminance(123.4))
    ('12 V', '11.27 V', '123 cd/m2')
    """
    if not math.isfinite(quantity.value):
        return reader.unknown
    way = _WAYS[quantity.sort]
    if quantity.stated or quantity.digits is not None:
        value = 100.0 * quantity.value if quantity.sort is Sort.SHARE else quantity.value
        return f"{value:g}{way.unit}" if quantity.digits is None else f"{number(value, quantity.digits)}{way.unit}"
    metric = way.metric(quantity.value)
    if way.us is None:
        return metric
    told = reader.pick(metric, way.us(quantity.value))
    return way.both.format(*told) if len(told) > 1 else told[0]


def _amps(value: float) -> str:
    if abs(value) < 0.1:
        return f"{value * 1e3:.3g} mA"
    return f"{value:.3g} A" if abs(value) < 1000.0 else f"{number(value)} A"


def _percent(value: float) -> str:
    percent = 100.0 * value
    return f"{percent:.{0 if abs(percent) >= 10.0 else 1}f} %"


def _seconds(value: float) -> str:
    for unit, size in (("h", 3600.0), ("min", 60.0), ("s", 1.0)):
        if value >= size * (2.0 if size > 1.0 else 1.0):
            return f"{number(value / size, 2)} {unit}"
    return f"{1e3 * value:.3g} ms"


def _mm(value: float) -> str:
    mm = 1e3 * value
    return f"{mm:.{1 if abs(mm) < 99.95 else 0}f} mm"


def _up(value: float, decimals: int) -> float:
    return math.ceil(value * 10.0**decimals - 1e-9) / 10.0**decimals


def _tape(value: float) -> str:
    return feet_and_inches(math.floor(value / INCH_M * EIGHTHS + 0.5), EIGHTHS)


def _feet(value: float) -> str:
    """Return feet and inches; below a foot inches to the eighth, from 100 m feet alone."""
    sign, value = ("-" if value < 0 else ""), abs(value)
    if value >= 100:
        return f"{sign}{value / FOOT_M:,.0f} ft"
    eighths = round(value / INCH_M * EIGHTHS)
    if eighths < EIGHTHS * FOOT_IN:
        return sign + feet_and_inches(eighths, EIGHTHS)
    return sign + feet_and_inches(round(value / INCH_M), 1)


def _of(unit: str) -> _Way:
    """Return the way of a sort that is told with three significant digits."""
    return _Way(unit, lambda value: number(value) + unit)


_SLASH = "{} / {}"
_WAYS: Mapping[Sort, _Way] = MappingProxyType(
    {
        Sort.NUMBER: _of(""),
        Sort.VOLTAGE: _Way(" V", lambda v: f"{v:.2f} V"),
        Sort.CURRENT: _Way(" A", _amps),
        Sort.POWER: _of(" W"),
        Sort.ENERGY: _Way(" J", lambda j: f"{number(j / 3600.0)} Wh"),
        Sort.RESISTANCE: _of(" ohm"),
        Sort.TEMPERATURE: _Way(" degC", lambda t: f"{t:,.0f} degC"),
        Sort.TIME: _Way(" s", _seconds),
        Sort.RATE: _Way(" Hz", lambda hz: f"{hz:g} Hz"),
        Sort.SHARE: _Way(" %", _percent),
        Sort.LUMINANCE: _of(" cd/m2"),
        Sort.INTENSITY: _of(" cd"),
        Sort.FLUX: _of(" lm"),
        Sort.ILLUMINANCE: _of(" lx"),
        # A cable's length; below half a metre as a ruler shows it.
        Sort.LENGTH: _Way(
            " m",
            lambda m: f"{m:.2f} m" if m >= 0.5 else f"{m * 1e3:.0f} mm",
            lambda m: f"{m / FOOT_M:.1f} ft" if m >= 0.5 else f"{m / INCH_M:.1f} in",
        ),
        Sort.RUN: _Way(" m", lambda m: f"{m:.2f} m" if m >= 0.9995 else f"{1e3 * m:.0f} mm", _tape, _SLASH),
        Sort.DRAWN: _Way(
            " m",
            lambda m: f"{m:.{2 if m < 3 else 1}f} m",
            lambda m: f"{m / FOOT_M:.{1 if m / FOOT_M < 100 else 0}f} ft",
            _SLASH,
        ),
        Sort.STRETCH: _Way(
            " m",
            lambda m: f"{m * 1000:.0f} mm" if abs(m) < 1 else f"{m:,.{2 if abs(m) < 100 else 0}f} m",
            _feet,
        ),
        Sort.BOUGHT: _Way(" m", lambda m: f"{m:,.1f} m", lambda m: f"{m / FOOT_M:,.0f} ft", _SLASH),
        Sort.SMALL: _Way(" m", lambda m: f"{m * 1e3:.1f} mm", lambda m: f"{m / INCH_M:.2f} in"),
        Sort.BENCH: _Way(" m", _mm, lambda m: f"{m / INCH_M:.2f} in", _SLASH),
        Sort.EXTENT: _Way(" m", _mm, lambda m: f"{m / INCH_M:.{2 if abs(m / INCH_M) < 9.995 else 1}f} in", _SLASH),
        Sort.DISTANCE: _Way(" m", lambda m: f"{m:g} m", lambda m: f"{m / FOOT_M:.0f} ft"),
        Sort.MASS: _Way(" kg", lambda kg: f"{kg * 1e3:.0f} g", lambda kg: f"{kg / OUNCE_KG:.1f} oz"),
        Sort.WEIGHT: _Way(
            " kg",
            lambda kg: f"{1e3 * kg:.0f} g" if kg < 1.0 else f"{kg:.2f} kg",
            lambda kg: f"{kg / OUNCE_KG:.1f} oz" if kg / POUND_KG < 1.0 else f"{kg / POUND_KG:.2f} lb",
            _SLASH,
        ),
        Sort.LOAD: _Way(" kg", lambda kg: f"{kg:.1f} kg", lambda kg: f"{kg / POUND_KG:.1f} lb"),
        Sort.RATED_LOAD: _Way(" kg", lambda kg: f"{kg:g} kg", lambda kg: f"{kg / POUND_KG:.1f} lb"),
        Sort.LEAST_LENGTH: _Way(" m", lambda m: f"{_up(m, 2):.2f} m", lambda m: f"{_up(m / FOOT_M, 1):.1f} ft"),
        Sort.LEAST_LOAD: _Way(" kg", lambda kg: f"{_up(kg, 1):.1f} kg", lambda kg: f"{_up(kg / POUND_KG, 1):.1f} lb"),
        Sort.BOX: _Way(" kg", lambda kg: f"{kg:.1f} kg", lambda kg: f"{kg / POUND_KG:.1f} lb", _SLASH),
    }
)


class _Maker(Protocol):
    def __call__(self, value: float, digits: int | None = None, *, stated: bool = False) -> Quantity: ...


def _maker(sort: Sort) -> _Maker:
    def make(value: float, digits: int | None = None, *, stated: bool = False) -> Quantity:
        return Quantity(float(value), sort, digits, stated)

    return make


voltage = _maker(Sort.VOLTAGE)
current = _maker(Sort.CURRENT)
power = _maker(Sort.POWER)
energy = _maker(Sort.ENERGY)
resistance = _maker(Sort.RESISTANCE)
temperature = _maker(Sort.TEMPERATURE)
time = _maker(Sort.TIME)
rate = _maker(Sort.RATE)
share = _maker(Sort.SHARE)
luminance = _maker(Sort.LUMINANCE)
intensity = _maker(Sort.INTENSITY)
flux = _maker(Sort.FLUX)
illuminance = _maker(Sort.ILLUMINANCE)
length = _maker(Sort.LENGTH)
run = _maker(Sort.RUN)
drawn = _maker(Sort.DRAWN)
stretch = _maker(Sort.STRETCH)
bought = _maker(Sort.BOUGHT)
small = _maker(Sort.SMALL)
bench = _maker(Sort.BENCH)
extent = _maker(Sort.EXTENT)
distance = _maker(Sort.DISTANCE)
mass = _maker(Sort.MASS)
weight = _maker(Sort.WEIGHT)
load = _maker(Sort.LOAD)
rated_load = _maker(Sort.RATED_LOAD)
least_length = _maker(Sort.LEAST_LENGTH)
least_load = _maker(Sort.LEAST_LOAD)
box = _maker(Sort.BOX)
