"""A light measured on the bench: readings to a current-voltage characteristic, and that into the display file."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from hollowglow import __version__
from hollowglow.analysis.circuit.characterise import (
    BenchReading,
    FittedCharacteristic,
    Parameter,
    analyse,
    parse_reading,
    read_file,
)
from hollowglow.analysis.circuit.characterise.readings import MOST_LIGHTS
from hollowglow.file import load
from hollowglow.file.history import change
from hollowglow.file.model.loads import CHARACTERISTICS, CLASSES
from hollowglow.file.model.parts import Light, Part
from hollowglow.file.reading.catalogue import raw_catalogue
from hollowglow.file.reading.load import load_part
from hollowglow.file.store.files import read_text
from hollowglow.file.text.edit import Edit, Put
from hollowglow.file.text.source import parse_text
from hollowglow.messages.refusal import Input, Job, Refusal, Words, parts
from hollowglow.quantity.shown import nearest, show, visible

_EXAMPLE = '"12 V: red 19 mA, green 18 mA, blue 18 mA, off 1 mA"'
_DIGITS = 4
_SCALES = {"A": (1e3, "mA"), "V": (1.0, "V"), "W": (1.0, "W"), "ohm": (1.0, "ohm"), "": (1.0, "")}


@dataclass(frozen=True)
class CharacterisedPart:
    """A light part and what its readings say."""

    part: str
    own: bool
    fitted: FittedCharacteristic
    readings: tuple[BenchReading, ...]


def characterise_part(
    path: Path | str, part: str, typed: Sequence[str] = (), file: Path | None = None, lights: int = 1
) -> CharacterisedPart:
    """Return the characteristic of a light part from readings.

    Args:
        path: of the display file.
        part: name of the light, in the file or in the catalogue.
        typed: readings such as "12 V: red 19 mA, off 1 mA".
        file: of further readings.
        lights: how many equal lights hung on the supply.

    Raises:
        DisplayError: when a file cannot be read.
        Refusal: when there is no such light, or the readings tell too little or contradict every characteristic.
    """
    if not 1 <= lights <= MOST_LIGHTS:
        raise Refusal(f"found {lights}, expected a whole number from 1 to {MOST_LIGHTS:,}.", field="lights")
    stated = load(path).parts
    light = _light(stated, part)
    readings = [one for number, text in enumerate(typed, 1) for one in parse_reading(text, number, lights)]
    readings += read_file(file, lights) if file is not None else []
    if not readings:
        raise Refusal(
            "There are no readings. Give some as ",
            Input("reading", _EXAMPLE),
            ", or a file ",
            Input("readings", "FILE", "with"),
            ".",
        )
    return CharacterisedPart(part, part not in raw_catalogue(), analyse(readings, light), tuple(readings))


def _light(stated: dict[str, Part], name: str) -> Light:
    catalogue = raw_catalogue()
    found = stated.get(name) or (load_part(name) if name in catalogue else None)
    lights = [*(n for n, p in stated.items() if p.light is not None), *catalogue.with_role("light")]
    if found is None:
        hint: Words = nearest(name, lights) or ("List those of the catalogue with: ", Job("parts", "light"), ".")
        raise Refusal(f"There is no part {show(name)} in this display or in the catalogue. ", *parts(hint))
    if found.light is None:
        raise Refusal(f"The part {show(name)} is no light but has the role {found.role}. Name a light.")
    return found.light


def _written(one: Parameter, whole: bool) -> str | float | int:
    """Return a parameter's value as a display file states it, to four digits."""
    if whole:
        return round(one.value)
    scale, unit = _SCALES[one.unit]
    value = one.value * scale
    if unit == "W" and value < 1.0:
        value, unit = value * 1e3, "mW"
    digits = max(0, _DIGITS - 1 - math.floor(math.log10(abs(value)))) if value else 0
    rounded = round(value, digits)
    text = f"{rounded:.{digits}f}".rstrip("0").rstrip(".") if digits else f"{rounded:.0f}"
    return f"{text} {unit}" if unit else rounded


def load_table(fitted: FittedCharacteristic) -> dict[str, Any]:
    """Return the load of a light as a display file states it."""
    keys = CHARACTERISTICS[CLASSES.index(fitted.characteristic)].model_fields
    table: dict[str, Any] = {"class": fitted.characteristic}
    for one in fitted.parameters:
        written = _written(one, keys[one.key].annotation is int)
        if one.colour:
            table.setdefault(one.key, []).append(written)
        else:
            table[one.key] = written
    return table


def apply(path: Path | str, characterised: CharacterisedPart) -> None:
    """Write what was measured into the display file, as a part laid over what is there; comments stay.

    Raises:
        DisplayError: when what came out would be no display; the file is then as it was.
        Refusal: when it cannot be written.
    """
    table = load_table(characterised.fitted)
    told = dict.fromkeys(one.key for one in characterised.fitted.parameters if one.source == "measured")

    path = Path(path)
    own = (parse_text(read_text(path), visible(str(path))).data.get("parts") or {}).get(characterised.part) or {}
    here = ("parts", characterised.part)
    old = (own.get("light") or {}).get("load")
    edits: list[Edit] = []
    if not isinstance(old, dict) or old.get("class", table["class"]) != table["class"]:
        edits.append(Put((*here, "light", "load"), table))
    else:
        edits += [Put((*here, "light", "load", key), value) for key, value in table.items() if old.get(key) != value]
    stated = own.get("basis")
    basis = dict(stated) if isinstance(stated, dict) else {"default": stated or _basis(characterised.part)}
    basis = {key: value for key, value in basis.items() if not str(key).startswith("light.load")}
    basis |= {f"light.load.{key}": "measured" for key in told}
    if basis != stated:
        edits.append(Put((*here, "basis"), basis))
    change(path, edits, f"current-voltage characteristic of {characterised.part}")


def _basis(part: str) -> str:
    raw = raw_catalogue()
    stated = raw[part].get("basis", "typical") if part in raw else "typical"
    return str(stated.get("default", "typical")) if isinstance(stated, dict) else str(stated)


def document(characterised: CharacterisedPart) -> dict[str, Any]:
    """Return a measured light as the JSON document's plain data."""
    fitted = characterised.fitted
    reading, miss = fitted.worst
    return {
        "hollowglow": __version__,
        "part": characterised.part,
        "characteristic": fitted.characteristic,
        "stated_characteristic": fitted.stated_characteristic,
        "sure": fitted.sure,
        "parameters": [asdict(one) for one in fitted.parameters],
        "characteristics": [asdict(one) for one in fitted.characteristics],
        "worst": {"reading": reading.shown, "miss": miss},
        "load": load_table(fitted),
        "readings": [
            {"volts": r.volts, "channel": r.channel, "amps": r.amps, "where": r.where} for r in characterised.readings
        ],
    }
