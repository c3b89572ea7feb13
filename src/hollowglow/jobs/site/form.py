"""What stands in a form about places, read in words that name the field."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from pydantic_core import PydanticCustomError

from hollowglow.file import Display
from hollowglow.file.model.site import SetOut
from hollowglow.messages.refusal import FormError, Refusal
from hollowglow.quantity import measures, units, written
from hollowglow.quantity.shown import cut, nearest_or_all

Form = Mapping[str, str]


@dataclass(frozen=True)
class PlaceForm:
    """The display that is edited, what its file states, and the units that the person chose for what is written anew."""

    display: Display
    stated: Any
    form: Form
    units: written.Units = "metric"

    def text(self, key: str, what: str) -> str:
        """Return what was typed; raises FormError where it is nothing."""
        typed = self.form.get(key, "").strip()
        if not typed:
            raise FormError({key: f"{what} is missing."})
        return typed

    def length(self, key: str, what: str, measure: measures.Measure = measures.SPOT) -> float:
        """Return a typed length, m."""
        return length_m(self.text(key, what), what, measure, key)

    def whole(self, key: str, what: str, most: int) -> int:
        """Return a typed whole number from 1."""
        typed = self.text(key, what)
        if not (typed.isdecimal() and 1 <= int(typed[:9]) <= most):
            raise FormError({key: f'{what}: found "{cut(typed)}", expected a whole number from 1 to {most:,}.'})
        return int(typed)

    def string(self) -> str:
        """Return the name of the string that it is about."""
        name = self.form.get("string", "")
        if name not in self.display.strings:
            told = nearest_or_all(name, list(self.display.strings), "strings")
            raise Refusal(f'There is no string "{cut(name)}". {told}'.rstrip())
        return name

    def placed(self) -> tuple[str, SetOut]:
        """Return a string that has places, and them."""
        name = self.string()
        place = self.display.strings[name].place
        if place is None:
            raise Refusal(f"The props of {name} have no places yet. Draw its line first.")
        return name, place

    def spot(self, now: Sequence[float] = ()) -> list[str]:
        """Return the typed place as the file is to say it; what the form does not ask, and a third length, stays as it was."""
        wrong: dict[str, str] = {}
        for key, what in (("x", "How far across"), ("y", "How far up or ahead")):
            try:
                if key in self.form or not len(now):
                    self.length(key, what)
            except FormError as error:
                wrong |= error.fields
        if wrong:
            raise FormError(wrong)
        was = [written.length(float(v), self.units) for v in now[:2]] or ["", ""]
        typed = [self.form.get(key, own).strip() for key, own in zip("xy", was, strict=True)]
        return typed + self.high(float(now[2]) if len(now) else 0.0)

    def high(self, metres: float) -> list[str]:
        """Return a third length as the file writes it, nothing where it is none."""
        return [written.length(metres, self.units)] if round(metres, 4) else []

    def written(self, spot: Sequence[float]) -> list[str]:
        """Return a place as the file is to say it."""
        return written.spot(spot, self.units)

    def stated_place(self, string: str) -> Any:
        """Return what the file itself states of a string's places, an empty table where it states nothing."""
        entry = self.stated["strings"].get(string) if isinstance(self.stated.get("strings"), Mapping) else None
        return (entry.get("place") if isinstance(entry, Mapping) else None) or {}

    def pixels(self, key: str, count: int) -> list[list[float]]:
        """Return so many points of the picture, from JSON."""
        try:
            found: Sequence[Any] = json.loads(self.text(key, "The points of the picture"))
            made = [[round(float(x), 1), round(float(y), 1)] for x, y in found]
        except (ValueError, TypeError):
            made = []
        if len(made) != count or not all(math.isfinite(v) for spot in made for v in spot):
            raise Refusal(
                f"Found no {count} points of the picture, expected {count} like [412, 1180]. Mark them again."
            )
        return made


def length_m(typed: str, what: str, measure: measures.Measure = measures.SPOT, key: str = "") -> float:
    """Return a typed length, m; raises FormError for the field of the key, in words, where it is none."""
    try:
        return units.parse(typed, measure)
    except PydanticCustomError as error:
        raise FormError({key: f"{what}: {error.message()}."}) from None
