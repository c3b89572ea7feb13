"""Lengths and masses in the words that the reader measures by: metric, US, or both."""

from __future__ import annotations

from dataclasses import dataclass

from hollowglow.quantity.quantities import bench, bought, length, load, run, small, tell, weight
from hollowglow.quantity.reader import Reader, Units
from hollowglow.quantity.sizes import FOOT_M


@dataclass(frozen=True, slots=True)
class Measures:
    """Lengths in words, in the units of one reader; of both, US ones stand first where `us_first`."""

    units: Units
    us_first: bool = False

    @property
    def reader(self) -> Reader:
        """Return who reads."""
        return Reader(self.units, self.us_first)

    def run(self, length_m: float) -> str:
        """Return the length of a cable or a distance: 4.06 m, 13 ft 3 7/8 in, or both."""
        return tell(run(length_m), self.reader)

    def small(self, length_m: float) -> str:
        """Return a length on the bench: 10.4 mm, 0.41 in, or both."""
        return tell(bench(length_m), self.reader)

    def mass(self, mass_kg: float) -> str:
        """Return a mass: 226 g, 8.0 oz, or both."""
        return tell(weight(mass_kg), self.reader)

    def bought(self, length_m: float) -> str:
        """Return a length as it is bought: 106.5 m, 349 ft, or both."""
        return tell(bought(length_m), self.reader)

    def each(self, price_a_metre: float) -> str:
        """Return a price by length: 0.62 a m, 0.19 a ft; by the metre where both are wanted."""
        if self.units == "us":
            return f"{price_a_metre * FOOT_M:,.2f} a ft"
        return f"{price_a_metre:,.2f} a m"

    def stated(self, value: str, amount: tuple[float, str] | None) -> str:
        """Return a default as a file would state it; a length or a mass (SI amount and unit) in the units of the reader.

        >>> Measures("us").stated("550 mm", (0.55, "m")), Measures("both").stated("10 m", (10.0, "m"))
        ('21.65 in', '10 m / 32.8 ft')
        >>> Measures("us").stated("3 min", None), Measures("us").stated("15 kg", (15.0, "kg"))
        ('3 min', '33.1 lb')
        """
        if amount is None:
            return value
        number, unit = amount
        sort = load if unit == "kg" else small if number < 1.0 else length
        us = tell(sort(number), Reader("us"))
        return self._joined(value, us)

    def drill(self, metric: str | None, inch: str | None) -> str:
        """Return which drill to take; a drill known in one measure only is named by that."""
        names = {"metric": (metric or inch,), "us": (inch or metric,), "both": (metric, inch)}[self.units]
        return " or ".join(dict.fromkeys(name for name in names if name))

    def _joined(self, metric: str, us: str) -> str:
        return self.reader.told(metric, us)
