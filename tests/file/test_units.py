"""Quantities as a person writes them, and what is said about those that cannot be read."""

from __future__ import annotations

import math
import subprocess
import sys
from pathlib import Path

import pint
import pytest
from pydantic_core import PydanticCustomError

from hollowglow.jobs.start.demo import write_demo
from hollowglow.quantity import measures
from hollowglow.quantity.measures import Measure
from hollowglow.quantity.unit_list import DEFINITIONS, EXACT
from hollowglow.quantity.units import WireSize, parse, parse_share, parse_size
from tests.work import calls_at_most

INCH = 0.0254
FOOT = 0.3048


def refused(value: object, measure: Measure) -> str:
    """What a person reads after "found"."""
    with pytest.raises(PydanticCustomError) as caught:
        parse(value, measure)
    context = caught.value.context
    assert context is not None
    assert context["expected"] == measure.expected
    return f"{context['found']} {context['mend']}".strip()


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("1.8 m", 1.8),
        ("150 mm", 0.15),
        ("150mm", 0.15),
        ("12 cm", 0.12),
        ("6 ft", 6 * FOOT),
        ("6 feet", 6 * FOOT),
        ("1 foot", FOOT),
        ("6 ft.", 6 * FOOT),
        ("6'", 6 * FOOT),
        ("4 in", 4 * INCH),
        ('4"', 4 * INCH),
        ("4''", 4 * INCH),
        ("4”", 4 * INCH),
        ("3/8 in", 0.375 * INCH),
        ("1 3/8 in", 1.375 * INCH),
        ("1-3/8 in", 1.375 * INCH),
        ("½ in", 0.5 * INCH),
        ("6½ ft", 6.5 * FOOT),
        ("5 ft 6 in", 5.5 * FOOT),
        ("5ft6in", 5.5 * FOOT),
        ("5' 6\"", 5.5 * FOOT),
        ("5′ 6″", 5.5 * FOOT),
        ("5 ft 6 1/2 in", 5 * FOOT + 6.5 * INCH),
        ("2 yd", 6 * FOOT),
        (".5 m", 0.5),
        ("1e3 mm", 1.0),
        ("+1 m", 1.0),
        ("3 furlong", 660 * FOOT * 3),
    ],
)
def test_a_length_may_be_metric_or_us(text: str, metres: float) -> None:
    assert parse(text, measures.LENGTH) == pytest.approx(metres, rel=1e-5 if "furlong" in text else 1e-12)


@pytest.mark.parametrize(
    ("text", "measure", "value"),
    [
        ("12V", measures.VOLTAGE, 12.0),
        ("12 volts", measures.VOLTAGE, 12.0),
        ("12 VDC", measures.VOLTAGE, 12.0),
        ("18.5 mA", measures.CURRENT, 0.0185),
        ("5 amps", measures.CURRENT, 5.0),
        ("0.1 kW", measures.POWER, 100.0),
        ("20 mohm", measures.RESISTANCE_OR_ZERO, 0.02),
        ("20 mΩ", measures.RESISTANCE_OR_ZERO, 0.02),
        ("20 mOhm", measures.RESISTANCE_OR_ZERO, 0.02),
        ("1 kΩ", measures.RESISTANCE, 1000.0),
        ("0.0335 ohm/m", measures.RESISTANCE_PER_LENGTH, 0.0335),
        ("33.5 Ω/km", measures.RESISTANCE_PER_LENGTH, 0.0335),
        ("10.2 ohm/1000 ft", measures.RESISTANCE_PER_LENGTH, 10.2 / 304.8),
        ("5 degC", measures.TEMPERATURE, 5.0),
        ("5 °C", measures.TEMPERATURE, 5.0),
        ("5 deg C", measures.TEMPERATURE, 5.0),
        ("5 C", measures.TEMPERATURE, 5.0),
        ("41 °F", measures.TEMPERATURE, 5.0),
        ("41 degF", measures.TEMPERATURE, 5.0),
        ("−5 degC", measures.TEMPERATURE, -5.0),
        ("278.15 K", measures.TEMPERATURE, 5.0),
        ("40 Hz", measures.RATE, 40.0),
        ("40 fps", measures.RATE, 40.0),
        ("40 %", measures.SHARE, 0.4),
        ("40%", measures.SHARE, 0.4),
        ("40 percent", measures.SHARE, 0.4),
        ("2 h 30 min", measures.TIME, 9000.0),
        ("280 µs", measures.TIME, 280e-6),
        ("1 lb 8 oz", measures.MASS, 1.5 * 0.45359237),
        ("120 deg", measures.ANGLE, 120.0),
        ("4 lm", measures.FLUX, 4.0),
        ("0 ohm", measures.RESISTANCE_OR_ZERO, 0.0),
    ],
)
def test_every_quantity_reads_the_spellings_in_use(text: str, measure: Measure, value: float) -> None:
    assert parse(text, measure) == pytest.approx(value, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "measure", "value"),
    [
        ("4 MM", measures.LENGTH, 0.004),
        ("4 Ft", measures.LENGTH, 4 * FOOT),
        ("4 M", measures.LENGTH, 4.0),
        ("12 v", measures.VOLTAGE, 12.0),
        ("5 a", measures.CURRENT, 5.0),
        ("500 ma", measures.CURRENT, 0.5),
        ("40 hz", measures.RATE, 40.0),
        ("100 w", measures.POWER, 100.0),
        ("5 Celsius", measures.TEMPERATURE, 5.0),
    ],
)
def test_the_wrong_case_is_read_where_only_one_unit_can_be_meant(text: str, measure: Measure, value: float) -> None:
    assert parse(text, measure) == pytest.approx(value, rel=1e-12)


def test_a_prefix_in_the_wrong_case_is_never_guessed() -> None:
    assert parse("1 mohm", measures.RESISTANCE) == pytest.approx(1e-3)
    assert parse("1 Mohm", measures.RESISTANCE) == pytest.approx(1e6)
    assert refused("1 MV", measures.VOLTAGE) == '"1 MV"'
    assert refused("1 MOHM", measures.RESISTANCE) == '"1 MOHM", where "MOHM" is not a unit known here'


def test_full_width_digits_and_odd_spaces_read_as_plain_ones() -> None:
    assert parse("１２ V", measures.VOLTAGE) == 12.0
    assert parse("12\u00a0V", measures.VOLTAGE) == 12.0
    assert parse("12\u202fV", measures.VOLTAGE) == 12.0
    assert parse("1\u00a03/8\u00a0in", measures.LENGTH) == pytest.approx(1.375 * INCH)


COMMA = "Write decimals with a point, not a comma, and put no other commas into a quantity."


@pytest.mark.parametrize(
    ("value", "found"),
    [
        (4, "4 without a unit"),
        (1.8, "1.8 without a unit"),
        ("4", '"4" without a unit'),
        ("4 V", '"4 V", which is not a length'),
        ("4 m2", '"4 m2", which is not a length'),
        ("4 wombat", '"4 wombat", where "wombat" is not a unit known here'),
        ("4 cubit", '"4 cubit", where "cubit" is not a unit known here'),
        ("1,8 m", f'"1,8 m" {COMMA}'),
        ("5 ft, 6 in", f'"5 ft, 6 in" {COMMA}'),
        ("5 ft 6", '"5 ft 6", where "6" has no unit'),
        ("5 ft - 6 in", '"5 ft - 6 in", where "- 6 in" does not belong'),
        ("5 ft -6 in", '"5 ft -6 in", where "-6 in" does not belong'),
        ("6 in 5 ft", '"6 in 5 ft", where "5 ft" does not belong'),
        ("1 in 1 in", '"1 in 1 in", where "1 in" does not belong'),
        ("4 m approx", '"4 m approx", where "approx" does not belong'),
        ("1.2.3 m", '"1.2.3 m", where ".3 m" does not belong'),
        ("about 4 m", '"about 4 m"'),
        ("-4 m", '"-4 m"'),
        ("0 m", '"0 m"'),
        ("4 parsec", '"4 parsec"'),
        ("4 nm", '"4 nm"'),
        ("1e999 m", '"1e999 m", which is not a finite number'),
        ("1/0 m", '"1/0 m", which is not a finite number'),
        (math.nan, "nan, which is not a finite number"),
        (math.inf, "inf, which is not a finite number"),
        ("nan m", '"nan m"'),
        ("", "an empty text"),
        ("  ", "an empty text"),
        (True, "true"),
        (None, "nothing"),
        ([1], "a list"),
        ({}, "a table of keys"),
        ("1" * 5000 + " m", '"' + "1" * 57 + '..." (5002 characters)'),
        ("4\u200b m", '"4\\u200b m", where "\\u200b m" does not belong'),
    ],
)
def test_what_is_no_length_is_named_with_the_reason(value: object, found: str) -> None:
    assert refused(value, measures.LENGTH) == found


def test_a_number_too_long_to_write_out_is_still_told() -> None:
    assert refused(10**5000, measures.LENGTH) == "a number of thousands of digits without a unit"


def test_a_level_without_its_sign_is_told_so() -> None:
    assert refused(50, measures.SHARE) == "50 without the % sign"
    assert refused("50", measures.SHARE) == '"50" without the % sign'
    assert refused("50 V", measures.SHARE) == '"50 V", which is not a percentage'
    assert refused("101 %", measures.SHARE) == '"101 %"'
    assert refused("50 % 5 %", measures.SHARE) == '"50 % 5 %", where "5 %" does not belong'


def test_a_resistance_that_nobody_can_build_counts_as_none() -> None:
    assert parse("1e-12 ohm", measures.RESISTANCE_OR_ZERO) == 0.0
    assert parse("1 nohm", measures.RESISTANCE_OR_ZERO) == pytest.approx(1e-9)


def test_only_frequencies_in_hertz_are_rates() -> None:
    assert refused("2400 rpm", measures.RATE) == '"2400 rpm", which is not a rate'
    assert refused("25 ms", measures.RATE) == '"25 ms", which is not a rate'


def test_every_unit_of_the_list_is_the_one_that_pint_knows_by_this_name() -> None:
    every = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
    ours = pint.UnitRegistry(DEFINITIONS.splitlines(), autoconvert_offset_to_baseunit=True)
    names = [name for line in DEFINITIONS.splitlines() if line for name in names_of(line)]
    assert len(names) > 150
    for name in names:
        own = ours.Quantity(2.0, name).to_base_units()
        assert every.Quantity(own.magnitude, str(own.units)).to(name).magnitude == pytest.approx(2.0, rel=1e-12), name


def test_what_is_read_without_pint_is_what_pint_knows() -> None:
    every = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
    for (unit, si), factor in EXACT.items():
        for amount in (0.0, 1.0, 12.5):
            known = every.Quantity(amount, unit).to(si).magnitude
            assert known == pytest.approx(factor * amount, rel=1e-15, abs=0.0), unit


def test_a_display_in_the_usual_units_needs_no_pint(tmp_path: Path) -> None:
    program = "import sys; from pathlib import Path; from hollowglow.jobs import plan_file; "
    program += "plan_file(Path(sys.argv[1])); print('pint' in sys.modules)"
    done = subprocess.run(
        [sys.executable, "-c", program, str(write_demo(tmp_path)[0])], capture_output=True, text=True, check=True
    )
    assert done.stdout == "False\n"


def names_of(definition: str) -> list[str]:
    """The names that a line of the list gives to a unit, or each prefix of it before a metre."""
    name, _, *others = (word.strip() for word in definition.split("="))
    names = [word for word in (name, *others) if word != "_"]
    return [word.removesuffix("-") + "meter" if word.endswith("-") else word for word in names]


HANGERS = ["1 m**1000000", "1 m**99", "1 ((((", "1 m*9**9**9**9", "1 m/0", "1 __import__", "1 m^9^9^9^9"]


@pytest.mark.parametrize("text", [*HANGERS, "1 " + "k" * 55, "1 m" + "/m" * 28])
def test_a_unit_made_to_hang_the_reader_is_refused_at_once(text: str) -> None:
    parse("1 m", measures.LENGTH)  # the list of units is read once
    with calls_at_most(20_000):
        refused(text, measures.LENGTH)


def test_a_share_is_a_number_or_a_percentage() -> None:
    assert parse_share(0.85, measures.RATIO) == 0.85
    assert parse_share("85 %", measures.RATIO) == pytest.approx(0.85)
    assert parse_share(1, measures.RATIO) == 1.0
    for value in (-0.1, 1.5, math.nan, True, None, "0.85", 45):
        with pytest.raises(PydanticCustomError):
            parse_share(value, measures.RATIO)


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("20 AWG", WireSize(awg=20)),
        ("20AWG", WireSize(awg=20)),
        ("20 awg", WireSize(awg=20)),
        ("AWG 20", WireSize(awg=20)),
        ("0.75 mm2", WireSize(mm2=0.75)),
        ("0.75 mm²", WireSize(mm2=0.75)),
        ("0.75mm^2", WireSize(mm2=0.75)),
        ("1.50 mm2", WireSize(mm2=1.5)),
    ],
)
def test_a_conductor_size_is_a_gauge_or_an_area(text: str, size: WireSize) -> None:
    assert parse_size(text) == size


@pytest.mark.parametrize(
    "value", ["99 AWG", "-1 AWG", "2/0 AWG", "0.8 mm2", "20 ga", "20", "1" * 999 + " AWG", "", None, [], True]
)
def test_a_size_outside_the_tables_is_refused(value: object) -> None:
    with pytest.raises(PydanticCustomError):
        parse_size(value)


def test_a_sign_is_that_of_the_whole_length() -> None:
    assert parse("-4 ft 6 in", measures.SPOT) == pytest.approx(-4.5 * FOOT)
    assert parse("-4 ft 6 1/2 in", measures.SPOT) == pytest.approx(-(48 + 6.5) * INCH)
    assert parse("-1 m 20 cm", measures.SPOT) == pytest.approx(-1.2)
    assert parse("+1 m 20 cm", measures.SPOT) == pytest.approx(1.2)
