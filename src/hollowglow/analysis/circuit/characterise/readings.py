"""What a bench supply showed, as a person types it: volts, and amps for each colour lit alone."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic_core import PydanticCustomError

from hollowglow.file.store.files import read_text
from hollowglow.file.text.source import parse_text
from hollowglow.messages.errors import DisplayError, Problem
from hollowglow.messages.refusal import Refusal
from hollowglow.quantity import measures, units
from hollowglow.quantity.shown import DECIMAL_COMMA, nearest, show, visible

COLOURS = ("red", "green", "blue", "white")
CHANNELS = (*COLOURS, "all", "off")
MOST_READINGS = 10_000
MOST_LIGHTS = 10_000
_EXAMPLE = '"12 V: red 19 mA, green 18 mA, blue 18 mA, off 1 mA"'
_KEYS = "at, " + ", ".join(CHANNELS)
_LEAST_STEP_A = 1e-7


@dataclass(frozen=True, slots=True)
class BenchReading:
    """One current that the supply showed.

    Attributes:
        volts: at the light, V.
        channel: which colour was fully on; "white" is all of three colours or the white LED of four, "all" every
            colour there is, "off" none.
        amps: of one light, A.
        step_a: smallest step that the number was written with, of one light, A.
        where: how a message names it.
    """

    volts: float
    channel: str
    amps: float
    step_a: float
    where: str

    @property
    def shown(self) -> str:
        """Return the reading in words: "red at 12 V (reading 1)"."""
        return f"{self.channel} at {self.volts:g} V ({self.where})"


@dataclass(frozen=True, slots=True)
class _NoReading:
    key: str
    found: str
    expected: str
    mend: str = ""


def mix(channel: str, colours: int) -> tuple[float, ...]:
    """Return which colours of a light are on for a channel; raises KeyError where the light has no such channel."""
    if channel == "off":
        return (0.0,) * colours
    if channel == "all" or (channel == "white" and colours == 3):
        return (1.0,) * colours
    at = COLOURS.index(channel)
    if at >= colours:
        raise KeyError(channel)
    return tuple(float(i == at) for i in range(colours))


def _step(text: str, amps: float) -> float:
    """Return the size of the last written digit of a current, A."""
    number = re.match(r"\s*[+-]?(\d*)(?:\.(\d*))?(?:[eE]([+-]?\d+))?", text)
    if number is None or amps == 0.0:
        return _LEAST_STEP_A
    digits = len(number.group(2) or "") - int(number.group(3) or 0)
    value = float(number.group(0))
    scale = abs(amps / value) if value else 1.0
    return max(scale * 10.0**-digits, _LEAST_STEP_A)


def _pieces(row: Mapping[str, Any], where: str, lights: int) -> Iterator[BenchReading | _NoReading]:
    """Yield the readings of one voltage, or what is wrong with them; a key without a value is not a reading."""
    stated = {key: value for key, value in row.items() if value not in (None, "")}
    if "at" not in stated:
        yield _NoReading("", "no voltage", f"at: the voltage at the light, like {measures.VOLTAGE.example}")
        return
    if len(stated) == 1:
        yield _NoReading("", "a voltage without currents", f"currents for some of {', '.join(CHANNELS)}")
        return
    volts: float | None = None
    for key, value in {"at": stated["at"], **stated}.items():
        if key != "at" and key not in CHANNELS:
            yield _NoReading("", f"the unknown key {show(key)}", f"one of {_KEYS}", nearest(key, ("at", *CHANNELS)))
            continue
        measure = measures.VOLTAGE if key == "at" else measures.BENCH_CURRENT
        try:
            read = units.parse(value, measure)
        except PydanticCustomError as error:
            context = error.context or {}
            yield _NoReading(key, context["found"], context["expected"], context["mend"])
            continue
        if key == "at":
            volts = read
        elif volts is not None:
            yield BenchReading(volts, key, read / lights, _step(str(value), read) / lights, where)


def parse_reading(text: str, number: int, lights: int = 1) -> list[BenchReading]:
    """Return the readings of one line such as "12 V: red 19 mA, off 1 mA".

    Args:
        text: as typed.
        number: which reading it is, for messages.
        lights: how many equal lights hung on the supply.

    Raises:
        Refusal: with what was found and what was expected.
    """
    where = f"reading {number}"
    head, colon, rest = text.partition(":")
    if not colon:
        raise Refusal(f"{where}: found {show(text)}, expected a voltage, a colon and currents, like {_EXAMPLE}.")
    row: dict[str, Any] = {"at": head.strip()}
    for piece in rest.split(","):
        words = piece.split(None, 1)
        if len(words) != 2 or re.match(r"[\d.]", words[0]):
            mend = f" {DECIMAL_COMMA}" if words and re.match(r"\d", words[0]) else ""
            raise Refusal(
                f"{where}: found {show(piece.strip())}, expected a colour and a current like red 19 mA.{mend}"
            )
        if words[0] in row:
            raise Refusal(f"{where}: found {show(words[0])} again, expected each colour once.")
        row[words[0]] = words[1]
    made: list[BenchReading] = []
    for one in _pieces(row, where, lights):
        if isinstance(one, _NoReading):
            key = f", {one.key}" if one.key else ""
            raise Refusal(f"{where}{key}: found {one.found}, expected {one.expected}. {one.mend}".rstrip())
        made.append(one)
    return made


def read_file(path: Path | str, lights: int = 1) -> list[BenchReading]:
    """Return the readings of a file: YAML (a list of readings under the key readings) or CSV with the same names.

    Args:
        path: of the file; CSV where its name ends so.
        lights: how many equal lights hung on the supply.

    Raises:
        DisplayError: with every problem and its line.
    """
    path = Path(path)
    file = visible(str(path))
    text = read_text(path)
    rows = _csv_rows(text, file) if path.suffix.lower() == ".csv" else _yaml_rows(text, file)
    made: list[BenchReading] = []
    problems: list[Problem] = []
    for line, row in rows:
        for one in _pieces(row, f"{file}, line {line}", lights):
            if isinstance(one, _NoReading):
                problems.append(Problem(one.key, one.found, one.expected, one.mend, line))
            else:
                made.append(one)
    if not problems and not made:
        problems.append(Problem("", "no readings", "at least one reading", "", None))
    if len(made) > MOST_READINGS:
        problems.append(Problem("", f"{len(made):,} readings", f"at most {MOST_READINGS:,}", "", None))
    if problems:
        raise DisplayError(file, problems)
    return made


def _csv_rows(text: str, file: str) -> list[tuple[int, Mapping[str, Any]]]:
    reader = csv.reader(io.StringIO(text))
    head: Sequence[str] | None = None
    rows: list[tuple[int, Mapping[str, Any]]] = []
    try:
        for cells in reader:
            cells = [cell.strip() for cell in cells]
            if not any(cells):
                continue
            if head is None:
                head = [cell.lower() for cell in cells]
                if "at" not in head or len(set(head)) != len(head):
                    expected = f"a first line of names, each once: some of {_KEYS}"
                    raise DisplayError(file, [Problem("", show(",".join(cells)), expected, "", reader.line_num)])
                continue
            if len(cells) > len(head):
                found = f"{len(cells)} cells"
                raise DisplayError(file, [Problem("", found, f"{len(head)}, as many as names", "", reader.line_num)])
            rows.append((reader.line_num, dict(zip(head, cells, strict=False))))
    except csv.Error as error:
        raise DisplayError(file, [Problem("", f"text that is no CSV ({error})", "CSV", "", reader.line_num)]) from None
    return rows


def _yaml_rows(text: str, file: str) -> list[tuple[int, Mapping[str, Any]]]:
    source = parse_text(text, file)
    if source.problems:
        raise DisplayError(file, source.problems)
    listed = source.data.get("readings")
    if not isinstance(listed, list) or set(source.data) != {"readings"}:
        found = "no list of readings" if "readings" not in source.data else "something beside or in place of the list"
        raise DisplayError(file, [Problem("", found, "readings: a list like [{at: 12 V, red: 19 mA}]", "", 1)])
    rows: list[tuple[int, Mapping[str, Any]]] = []
    for at, row in enumerate(listed):
        line = source.line(("readings", at)) or 1
        if not isinstance(row, dict):
            raise DisplayError(file, [Problem("", show(row), "a reading like {at: 12 V, red: 19 mA}", "", line)])
        rows.append((line, row))
    return rows
