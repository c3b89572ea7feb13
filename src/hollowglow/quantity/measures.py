"""What each kind of quantity may be: its SI unit, an example, and the range beyond which it is absurd."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType


def _units(*names: str, **meant: str) -> Mapping[str, str]:
    return MappingProxyType({**{name.lower(): name for name in names}, **meant})


@dataclass(frozen=True, slots=True)
class Measure:
    """One kind of quantity.

    Attributes:
        name, example: as they appear after "expected" in an error.
        unit: the SI unit that values have inside; empty for a share of 1, written in percent.
        counts_from: a smaller amount is taken as 0, because nobody can build or measure it.
        low, high: the least and the greatest value, in `unit`; `bounds` says them in words.
        lenient: units by lower-case spelling, for a person who writes "MM" or "amps"; counts only where the exact
            spelling is no unit of this kind.
        strict: whether only the units in `lenient` count.
    """

    name: str
    unit: str
    example: str
    low: float
    high: float
    bounds: str
    counts_from: float = 0.0
    lenient: Mapping[str, str] = field(default_factory=_units, hash=False, compare=False)
    strict: bool = False

    @property
    def expected(self) -> str:
        """Return the phrase that follows "expected" in an error."""
        return f"{self.name} like {self.example} ({self.bounds})"

    @property
    def adds_up(self) -> bool:
        """Return whether terms may follow each other, as in "5 ft 6 in" or "2 h 30 min"."""
        return self.unit in ("m", "s", "kg")

    def allows(self, value: float) -> bool:
        """Return whether a value in `unit` is in range."""
        return self.low <= value <= self.high


_LENGTHS = _units("mm", "cm", "m", "km", "in", "inch", "inches", "ft", "foot", "feet", "yd", "yard", "yards")
_VOLTS = _units("V", "mV", volt="V", volts="V", vdc="V", vac="V")
_AMPS = _units("A", "mA", amp="A", amps="A", ampere="A", amperes="A")
_WATTS = _units("W", "mW", "kW", watt="W", watts="W")
_OHMS = _units("ohm", "ohms", "kohm")
_DEGREES = _units("degC", "degF", celsius="degC", fahrenheit="degF", **{"°c": "degC", "°f": "degF"})
_HERTZ = _units("Hz", "kHz", hertz="Hz", fps="Hz")
_MASSES = _units("g", "kg", "mg", "oz", "lb", "lbs")
_TIMES = _units("s", "ms", "us", "min", "h", minute="min", minutes="min", hour="h", hours="h", second="s", seconds="s")

LENGTH = Measure("a length", "m", '"6 ft" or "1.8 m"', 1e-5, 2000.0, "from 0.01 mm to 2000 m", lenient=_LENGTHS)
SHORT_LENGTH = Measure("a length", "m", '"150 mm" or "6 in"', 1e-5, 50.0, "from 0.01 mm to 50 m", lenient=_LENGTHS)
LENGTH_OR_ZERO = Measure("a length", "m", '"150 mm" or "6 in"', 0.0, 2000.0, "from 0 m to 2000 m", lenient=_LENGTHS)
OFFSET = Measure(
    "a place along an axis", "m", '"40 mm" or "-12 mm"', -10.0, 10.0, "from -10 m to 10 m", lenient=_LENGTHS
)
SPOT = Measure("a place", "m", '"1.8 m" or "-6 ft"', -2000.0, 2000.0, "from -2000 m to 2000 m", lenient=_LENGTHS)
FIT = Measure("a fit", "m", '"0.2 mm"', -0.001, 0.005, "from -1 mm to 5 mm", lenient=_LENGTHS)
SUPPLY_VOLTAGE = Measure("a voltage", "V", '"12 V"', 1.0, 60.0, "from 1 V to 60 V", lenient=_VOLTS)
CUTOFF_VOLTAGE = Measure("a voltage", "V", '"7 V"', 0.1, 60.0, "from 0.1 V to 60 V", lenient=_VOLTS)
VOLTAGE = Measure("a voltage", "V", '"12 V"', 1e-3, 60.0, "from 1 mV to 60 V", lenient=_VOLTS)
VOLTAGE_OR_ZERO = Measure("a voltage", "V", '"0.6 V"', 0.0, 60.0, "from 0 V to 60 V", lenient=_VOLTS)
CURRENT = Measure("a current", "A", '"5 A" or "18.5 mA"', 1e-6, 200.0, "from 1 uA to 200 A", lenient=_AMPS)
LIGHT_CURRENT = Measure("a current", "A", '"18.5 mA"', 1e-6, 20.0, "from 1 uA to 20 A", lenient=_AMPS)
IDLE_CURRENT = Measure("a current", "A", '"1 mA"', 0.0, 1.0, "from 0 A to 1 A", lenient=_AMPS)
BENCH_CURRENT = Measure("a current", "A", '"18.5 mA"', 0.0, 200.0, "from 0 A to 200 A", lenient=_AMPS)
POWER = Measure("a power", "W", '"100 W"', 1e-3, 5000.0, "from 1 mW to 5000 W", lenient=_WATTS)
LIGHT_POWER = Measure("a power", "W", '"0.12 W"', 0.0, 50.0, "from 0 W to 50 W", lenient=_WATTS)
RESISTANCE = Measure("a resistance", "ohm", '"330 ohm"', 1e-3, 1e6, "from 1 mohm to 1 Mohm", lenient=_OHMS)
RESISTANCE_OR_ZERO = Measure(
    "a resistance", "ohm", '"5 mohm"', 0.0, 100.0, "from 0 ohm to 100 ohm", counts_from=1e-9, lenient=_OHMS
)
RESISTANCE_PER_LENGTH = Measure(
    "a resistance per length", "ohm/m", '"0.0335 ohm/m"', 1e-6, 10.0, "from 0.000001 ohm/m to 10 ohm/m"
)
TEMPERATURE = Measure(
    "a temperature", "degC", '"5 degC" or "41 degF"', -60.0, 120.0, "from -60 degC to 120 degC", lenient=_DEGREES
)
RATE = Measure("a rate", "Hz", '"40 Hz"', 0.1, 1000.0, "from 0.1 Hz to 1000 Hz", lenient=_HERTZ, strict=True)
PULSE_RATE = Measure("a PWM rate", "Hz", '"400 Hz"', 10.0, 1e6, "from 10 Hz to 1 MHz", lenient=_HERTZ, strict=True)
MAINS_VOLTAGE = Measure("a mains voltage", "V", '"120 V" or "230 V"', 90.0, 480.0, "from 90 V to 480 V", lenient=_VOLTS)
BREAKER = Measure("a current", "A", '"15 A" or "16 A"', 1.0, 125.0, "from 1 A to 125 A", lenient=_AMPS)
RESIDUAL = Measure("a residual current", "A", '"6 mA" or "30 mA"', 1e-3, 1.0, "from 1 mA to 1 A", lenient=_AMPS)
LEAKAGE = Measure("a leakage current", "A", '"0.75 mA"', 0.0, 0.1, "from 0 mA to 100 mA", lenient=_AMPS)
INRUSH = Measure("a current", "A", '"60 A"', 0.0, 1000.0, "from 0 A to 1000 A", lenient=_AMPS)
SHARE = Measure("a percentage", "", '"40 %"', 0.0, 1.0, "from 0 % to 100 %")
SHARE_OF_PARTS = Measure("a percentage", "", '"1 %"', 0.0, 1.0, "from 0 % to 100 %")
TOLERANCE = Measure("a tolerance", "", '"8 %"', 0.0, 0.5, "from 0 % to 50 %")
TEMPERATURE_STEP = Measure(
    "a temperature difference",
    "K",
    '"5 degC" or "9 degF"',
    0.0,
    60.0,
    "from 0 degC to 60 degC",
    lenient=_units(k="kelvin", kelvin="kelvin", **{name: f"delta_{unit}" for name, unit in _DEGREES.items()}),
    strict=True,
)
SHARE_NOT_ZERO = Measure("a percentage", "", '"75 %"', 0.01, 1.0, "from 1 % to 100 %")
RATIO = Measure("a share", "", '0.85 or "85 %"', 0.0, 1.0, "from 0 to 1")
EFFICIENCY = Measure("a share", "", '0.85 or "85 %"', 0.1, 1.0, "from 0.1 to 1")
NIGHT = Measure("a time", "s", '"5 h"', 0.0, 86400.0, "from 0 h to 24 h", lenient=_TIMES)
BURST = Measure("a time", "s", '"200 ms" or "2 s"', 1e-3, 600.0, "from 1 ms to 600 s", lenient=_TIMES)
MASS = Measure("a mass", "kg", '"35 g"', 0.0, 1000.0, "from 0 g to 1000 kg", lenient=_MASSES)
TIME = Measure("a time", "s", '"3 min" or "90 s"', 0.0, 1e6, "from 0 s to 1000000 s", lenient=_TIMES)
BIT_TIME = Measure("a time", "s", '"1.25 us"', 1e-7, 1e-3, "from 0.1 us to 1 ms", lenient=_TIMES)
RESET_TIME = Measure("a time", "s", '"300 us"', 0.0, 1.0, "from 0 s to 1 s", lenient=_TIMES)
ANGLE = Measure("an angle", "degree", '"120 deg"', 0.1, 360.0, "from 0.1 deg to 360 deg", lenient=_units("deg", "rad"))
FLUX = Measure("a luminous flux", "lumen", '"4 lm"', 0.0, 1e5, "from 0 lm to 100000 lm", lenient=_units("lm"))
