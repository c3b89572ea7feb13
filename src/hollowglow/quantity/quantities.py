"""Quantities as facts: a value in SI units and its sort, told in the units of whoever reads it."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import Protocol

from hollowglow.quantity.reader import EVERYBODY, Reader
from hollowglow.quantity.sizes import FOOT_M, INCH_M, OUNCE_KG
from hollowglow.quantity.words import number


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
    LENGTH = "length"  # m
    SMALL = "small length"  # m, of a workshop
    DISTANCE = "distance"  # m, for the eye
    MASS = "mass"  # kg


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
    if way.us is None or reader.units == "metric":
        return metric
    us = way.us(quantity.value)
    return us if reader.units == "us" else way.both.format(*((us, metric) if reader.us_first else (metric, us)))


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


def _of(unit: str) -> _Way:
    """Return the way of a sort that is told with three significant digits."""
    return _Way(unit, lambda value: number(value) + unit)


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
        Sort.SMALL: _Way(" m", lambda m: f"{m * 1e3:.1f} mm", lambda m: f"{m / INCH_M:.2f} in"),
        Sort.DISTANCE: _Way(" m", lambda m: f"{m:g} m", lambda m: f"{m / FOOT_M:.0f} ft"),
        Sort.MASS: _Way(" kg", lambda kg: f"{kg * 1e3:.0f} g", lambda kg: f"{kg / OUNCE_KG:.1f} oz"),
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
small = _maker(Sort.SMALL)
distance = _maker(Sort.DISTANCE)
mass = _maker(Sort.MASS)
