"""Lengths and masses in the words that the reader measures by: metric, US, or both."""

from __future__ import annotations

import re
from dataclasses import dataclass

from hollowglow.draw.measures import Units, metre_words, tape_words

_INCH_M = 0.0254
_POUND_KG = 0.45359237
_FOOT_IN = 12
_STATED = re.compile(r"(\d+(?:\.\d+)?) (mm|m|kg)")


@dataclass(frozen=True, slots=True)
class Measures:
    """Lengths in words, in the units of one reader; of both, US ones stand first where `us_first`."""

    units: Units
    us_first: bool = False

    def run(self, length_m: float) -> str:
        """Return the length of a cable or a distance: 4.06 m, 13 ft 3 7/8 in, or both."""
        return self._joined(metre_words(length_m), tape_words(length_m))

    def small(self, length_m: float) -> str:
        """Return a length on the bench: 10.4 mm, 0.41 in, or both."""
        mm, inches = 1e3 * length_m, length_m / _INCH_M
        return self._joined(f"{mm:.{1 if abs(mm) < 99.95 else 0}f} mm", f"{inches:.2f} in")

    def mass(self, mass_kg: float) -> str:
        """Return a mass: 226 g, 8.0 oz, or both."""
        ounces = mass_kg / _POUND_KG * 16.0
        grams = f"{1e3 * mass_kg:.0f} g" if mass_kg < 1.0 else f"{mass_kg:.2f} kg"
        return self._joined(grams, f"{ounces:.1f} oz" if ounces < 16.0 else f"{ounces / 16.0:.2f} lb")

    def bought(self, length_m: float) -> str:
        """Return a length as it is bought: 106.5 m, 349 ft, or both."""
        return self._joined(f"{length_m:,.1f} m", f"{length_m / _INCH_M / _FOOT_IN:,.0f} ft")

    def each(self, price_a_metre: float) -> str:
        """Return a price by length: 0.62 a m, 0.19 a ft; by the metre where both are wanted."""
        if self.units == "us":
            return f"{price_a_metre * _FOOT_IN * _INCH_M:,.2f} a ft"
        return f"{price_a_metre:,.2f} a m"

    def stated(self, value: str) -> str:
        """Return a default as a file would state it; a length or a mass in the units of the reader.

        >>> Measures("us").stated("550 mm"), Measures("both").stated("10 m"), Measures("us").stated("3 min")
        ('21.65 in', '10 m / 32.8 ft', '3 min')
        """
        found = _STATED.fullmatch(value)
        if found is None:
            return value
        number, unit = float(found[1]), found[2]
        us = {
            "mm": (number / 1e3 / _INCH_M, 2, "in"),
            "m": (number / _INCH_M / _FOOT_IN, 1, "ft"),
            "kg": (number / _POUND_KG, 1, "lb"),
        }[unit]
        return self._joined(value, f"{round(us[0], us[1]):g} {us[2]}")

    def drill(self, metric: str | None, inch: str | None) -> str:
        """Return which drill to take; a drill known in one measure only is named by that."""
        names = {"metric": (metric or inch,), "us": (inch or metric,), "both": (metric, inch)}[self.units]
        return " or ".join(dict.fromkeys(name for name in names if name))

    def _joined(self, metric: str, us: str) -> str:
        both = f"{us} / {metric}" if self.us_first else f"{metric} / {us}"
        return {"metric": metric, "us": us, "both": both}[self.units]
