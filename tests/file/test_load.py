"""Reading a display file: the example of the design, and one clear message for every mistake a person makes."""

# ruff: noqa: E501 - a message is easiest to compare on one line

from __future__ import annotations

import pytest

from hollowglow.file import load_text
from hollowglow.file.model.display import FuseRef, OutputRef, Run
from hollowglow.file.model.loads.constant_current import ConstantCurrentLoad
from hollowglow.quantity.units import WireSize
from tests.file.jetty import FILE, JETTY, complaint, complaints, jetty

KEYS = {
    "top": "display, about, ambient, currency, drip_loop, viewing, place, supplies, mains, season, controllers, parts, kinds, "
    "strings, levels, trims, limits, feeding, labour, tolerances, spares, packing",
    "controller": "outputs, nodes_per_output, rate, first_universe, universes, gangs, each_output, steps, curve, orders, price, at, extends",
    "string": "about, output, supply, props, lead, span, fuse, feeds, place, extends",
    "constant-current": "class, current, turn_on, saturation, idle",
}
SIZES = 'a conductor size like "20 AWG" (8 to 30) or "0.75 mm2" (one of 0.5, 0.75, 1, 1.5, 2.5, 4, 6, 10)'
SUPPLY = "  shed: {voltage: 12 V, rating: 100 W, resistance: 20 mohm}\n"


def test_the_example_reads_as_it_is_meant() -> None:
    display = load_text(JETTY, FILE)
    assert display.display == "Jetty sample"
    assert display.ambient == pytest.approx(5.0)
    assert display.supplies["shed"].voltage == 12.0
    assert display.supplies["shed"].resistance == pytest.approx(0.020)
    assert display.controllers["box"].gangs
    assert display.parts["test-cable"].cable is not None
    assert display.parts["test-cable"].cable.size == WireSize(awg=20)
    assert display.kinds["float"].fill.count == 5
    rail = display.strings["rail"]
    assert rail.output == OutputRef("box", 1)
    assert rail.props == (Run(12, "float"),)
    assert rail.fuse == FuseRef(rating_a=5.0)
    assert rail.feeds[0].before == 7
    assert not rail.feeds[0].cut
    assert display.level("float") == 1.0


def test_windows_line_ends_a_byte_order_mark_and_json_read_alike() -> None:
    assert load_text(JETTY.replace("\n", "\r\n"), FILE) == load_text(JETTY, FILE)
    assert load_text("\ufeff" + JETTY, FILE) == load_text(JETTY, FILE)
    assert load_text('{"display": "x", "ambient": "5 degC"}', FILE).ambient == pytest.approx(5.0)


def test_an_emptied_value_counts_as_not_stated() -> None:
    display = load_text(jetty(("ambient: 5 degC ", "ambient: "), ("fuse: 5 A   ", "fuse:   ")), FILE)
    assert display.ambient == 20.0
    assert "ambient" not in display.model_fields_set
    assert display.strings["rail"].fuse is None


@pytest.mark.parametrize("word", ["true", "True", "yes", "on", "ON", '"yes"', '"true"'])
def test_yes_has_many_spellings(word: str) -> None:
    assert load_text(jetty(("gangs: true", f"gangs: {word}")), FILE).controllers["box"].gangs is True


@pytest.mark.parametrize(
    ("stated", "meant"),
    [
        ("12 * float", (Run(12, "float"),)),
        ("12*float", (Run(12, "float"),)),
        ("12 x float", (Run(12, "float"),)),
        ("12 × float", (Run(12, "float"),)),
        ("[6 * float, float, 5 * float]", (Run(6, "float"), Run(1, "float"), Run(5, "float"))),
    ],
)
def test_props_are_a_count_and_a_kind_or_a_list_of_such(stated: str, meant: tuple[Run, ...]) -> None:
    assert load_text(jetty(("12 * float", stated)), FILE).strings["rail"].props == meant


# (text to replace, replacement, whole message without the file)
MISTAKES = {
    "unknown key": (
        "supply: shed\n", "suply: shed\n",
        "line 24, strings.rail.suply: found the unknown key \"suply\", expected one of " + KEYS["string"] + '. Did you mean "supply"?',
    ),
    "unknown section": (
        "levels:", "level:", "line 31, level: found the unknown key \"level\", expected one of " + KEYS["top"] + '. Did you mean "levels"?',
    ),
    "unknown key without a neighbour": (
        "gangs: true", "zzz: true", 'line 6, controllers.box.zzz: found the unknown key "zzz", expected one of ' + KEYS["controller"] + ".",
    ),
    "misspelt required key, told once": (
        "turn_on", "turnon",
        'line 9, parts.test-constant-current.light.load.turnon: found the unknown key "turnon", expected one of ' + KEYS["constant-current"] + '. Did you mean "turn_on"?',
    ),
    "missing unit": (
        "length: 1.8 m", "length: 1.8",
        'line 27, strings.rail.span.length: found 1.8 without a unit, expected a length like "6 ft" or "1.8 m" (from 0.01 mm to 2000 m).',
    ),
    "wrong dimension": (
        "length: 4 m", "length: 4 V",
        'line 26, strings.rail.lead.length: found "4 V", which is not a length, expected a length like "6 ft" or "1.8 m" (from 0.01 mm to 2000 m).',
    ),
    "decimal comma": (
        "length: 1.8 m", "length: 1,8 m",
        'line 27, strings.rail.span.length: found "1,8 m", expected a length like "6 ft" or "1.8 m" (from 0.01 mm to 2000 m). '
        "Write decimals with a point, not a comma, and put no other commas into a quantity.",
    ),
    "negative": (
        "resistance: 20 mohm", "resistance: -20 mohm",
        'line 4, supplies.shed.resistance: found "-20 mohm", expected a resistance like "5 mohm" (from 0 ohm to 100 ohm).',
    ),
    "absurd": (
        "voltage: 12 V", "voltage: 12 kV", 'line 4, supplies.shed.voltage: found "12 kV", expected a voltage like "12 V" (from 1 V to 60 V).',
    ),
    "not a number": (
        "rating: 100 W", "rating: .nan",
        'line 4, supplies.shed.rating: found nan, which is not a finite number, expected a power like "100 W" (from 1 mW to 5000 W).',
    ),
    "endless": (
        "rating: 100 W", "rating: 1e999 W",
        'line 4, supplies.shed.rating: found "1e999 W", which is not a finite number, expected a power like "100 W" (from 1 mW to 5000 W).',
    ),
    "a kind that does not exist": (
        "12 * float", "12 * flaot", 'line 25, strings.rail.props: found "flaot", expected the name of a kind. Did you mean "float"?',
    ),
    "a kind unlike any": (
        "12 * float", "12 * acorn", 'line 25, strings.rail.props: found "acorn", expected the name of a kind. The kinds of the file: "float".',
    ),
    "a count without its star": (
        "12 * float", "12 float", 'line 25, strings.rail.props: found "12 float", expected the name of a kind. Did you mean "12 * float"?',
    ),
    "a count behind the kind": (
        "12 * float", "float * 12", 'line 25, strings.rail.props: found "float * 12", expected the name of a kind. Did you mean "12 * float"?',
    ),
    "a broken count": (
        "12 * float", "1.5 * float",
        'line 25, strings.rail.props: found "1.5 * float", expected the name of a kind. Write a whole count before it, like "12 * float".',
    ),
    "a count of zero": (
        "12 * float", "0 * float", 'line 25, strings.rail.props: found "0 * float", expected a count from 1 to 100,000 before the kind.',
    ),
    "a count of a million million": (
        "12 * float", "1000000000000 * float",
        'line 25, strings.rail.props: found "1000000000000 * float", expected a count from 1 to 100,000 before the kind.',
    ),
    "a count of lights of zero": (
        "count: 5", "count: 0", "line 19, kinds.float.fill.count: found 0, expected a count, a whole number from 1 to 1,000.",
    ),
    "a fraction as a count": (
        "outputs: 4", "outputs: 4.5",
        "line 6, controllers.box.outputs: found 4.5, expected how many outputs it has, a whole number from 1 to 100,000.",
    ),
    "a million million outputs": (
        "outputs: 4", "outputs: 1000000000000",
        "line 6, controllers.box.outputs: found 1000000000000, expected how many outputs it has, a whole number from 1 to 100,000.",
    ),
    "a part that does not exist": (
        "light: test-constant-current", "light: test-constant-curent",
        'line 19, kinds.float.fill.light: found "test-constant-curent", expected the name of a light part. Did you mean "test-constant-current"?',
    ),
    "a part of another sort": (
        "joint: test-splice", "joint: test-cable",
        'line 27, strings.rail.span.joint: found "test-cable", which is a cable, expected the name of a joint part.',
    ),
    "a supply that does not exist": (
        "supply: shed\n", "supply: shad\n", 'line 24, strings.rail.supply: found "shad", expected the name of a supply. Did you mean "shed"?',
    ),
    "an output that does not exist": (
        "box/1", "box/5", 'line 23, strings.rail.output: found "box/5", expected an output from box/1 to box/4.',
    ),
    "a controller that does not exist": (
        "box/1", "bax/1", 'line 23, strings.rail.output: found "bax/1", expected an output of a controller. Did you mean "box/1"?',
    ),
    "an output without a number": (
        "box/1", "box", 'line 23, strings.rail.output: found "box", expected a controller and an output number like "box/1".',
    ),
    "a feed beyond the string": (
        "before: 7", "before: 13", "line 30, strings.rail.feeds[1].before: found 13, expected the number of a prop on this string (1 to 12).",
    ),
    "a feed before prop 0": (
        "before: 7", "before: 0",
        "line 30, strings.rail.feeds[1].before: found 0, expected the number of a prop, counted from 1, a whole number from 1 to 2,000,000.",
    ),
    "a level without its sign": (
        "100 %}", "100}", 'line 31, levels.float: found 100 without the % sign, expected a percentage like "40 %" (from 0 % to 100 %).',
    ),
    "a share in hundredths": (
        "transmittance: 0.45", "transmittance: 45",
        'line 18, kinds.float.shell.transmittance: found 45, expected a share like 0.85 or "85 %" (from 0 to 1). Did you mean "45 %"?',
    ),
    "a wall that gives more light than it gets": (
        "transmittance: 0.45", "transmittance: 60 %",
        "line 18, kinds.float.shell: found transmittance and reflectance that add up to 1.05, expected a sum of at most 1, "
        "because the wall cannot give back more light than it gets.",
    ),
    "a sphere without its size": (
        "diameter: 150 mm, ", "", "line 18, kinds.float.shell: found a sphere without diameter, expected diameter for a sphere.",
    ),
    "a current-voltage characteristic that does not exist": (
        "class: constant-current", "class: constant-curent", 'line 9, parts.test-constant-current.light.load.class: found "constant-curent", expected one of constant-current, resistor, constant-power. Did you mean "constant-current"?',
    ),
    "no current-voltage characteristic": (
        "class: constant-current, ", "", "line 9, parts.test-constant-current.light.load: found no class, expected class: one of constant-current, resistor, constant-power.",
    ),
    "too few colours": (
        "current: [18.5 mA, 18.5 mA, 18.5 mA]", "current: [18.5 mA]",
        'line 9, parts.test-constant-current.light.load.current: found a list of 1, expected at least 3 values, like "current: [18 mA, 18 mA, 18 mA]".',
    ),
    "uneven colours": (
        "turn_on: [2.0 V, 3.0 V, 3.1 V]", "turn_on: [2.0 V, 3.0 V, 3.1 V, 3.1 V]",
        "line 9, parts.test-constant-current.light: found 4 values in load.turn_on, expected 3 values, one for each colour of the load.",
    ),
    "one value for all colours": (
        "current: [18.5 mA, 18.5 mA, 18.5 mA]", "current: 18.5 mA",
        'line 9, parts.test-constant-current.light.load.current: found "18.5 mA", expected a list, like "current: [18 mA, 18 mA, 18 mA]".',
    ),
    "a size in the tables without its sort": (
        "size: 20 AWG", "size: 20", f'line 14, parts.test-cable.cable.size: found 20, expected {SIZES}. Did you mean "20 AWG"?',
    ),
    "a size outside the tables": (
        "size: 20 AWG", "size: 0.8 mm2", f'line 14, parts.test-cable.cable.size: found "0.8 mm2", expected {SIZES}.',
    ),
    "no size": (
        ", size: 20 AWG", "",
        'line 14, parts.test-cable.cable: found neither size nor resistance, expected size (like "20 AWG" or "0.75 mm2") or resistance in ohm/m.',
    ),
    "a missing key": (
        "    lead: {cable: test-cable, length: 4 m}\n", "", 'line 22, strings.rail: found no lead, expected the key lead, like "lead: {length: 4 m}".',
    ),
    "no span": (
        "    span: {cable: test-cable, length: 1.8 m, joint: test-splice}   # one joint at each end of a span\n", "",
        'line 22, strings.rail: found 12 props and no span, expected span: the cable between neighbours, like {length: "1.8 m"}.',
    ),
    "a name of the display that is a number": (
        "Jetty sample", "12", "line 1, display: found 12, expected a name of 1 to 200 characters on one line. Put it in quotes.",
    ),
    "neither yes nor no": (
        "gangs: true", "gangs: maybe", 'line 6, controllers.box.gangs: found "maybe", expected true or false.',
    ),
    "a table written as text": (
        "fill: {light: test-constant-current, count: 5, gang: true}", "fill: 5 * test-constant-current",
        'line 19, kinds.float.fill: found "5 * test-constant-current", expected a table of keys, like "fill: {light: bullet-12mm-12v, count: 5}".',
    ),
    "a supply written as text, told once": (
        SUPPLY, "  shed: 12 V\n", 'line 4, supplies.shed: found "12 V", expected a table of keys.',
    ),
    "a section that is a list, told once": (
        SUPPLY, "  - {voltage: 12 V}\n", "line 3, supplies: found a list, expected a table of keys.",
    ),
    "a supply that says nothing": (
        "voltage: 12 V, rating: 100 W, ", "",
        "line 4, supplies.shed: found no voltage and no rating, expected voltage and rating, or part: a supply of the catalogue.",
    ),
    "a part without a role": (
        "{joint: {resistance: 5 mohm, rating: 5 A}}", "{price: 5}",
        "line 15, parts.test-splice: found no role, expected exactly one of light, cable, joint, extension, fuse, supply, gland, hook, consumable.",
    ),
    "a price with its currency": (
        "rating: 100 W", "rating: 100 W, price: 5 EUR",
        'line 4, supplies.shed.price: found "5 EUR", expected a price like 4.50 (from 0 to 1,000,000). '
        "Write the number alone; currency is a key of its own.",
    ),
    "a name that hides something": (
        "  rail:", '  "ra\\u202eil":',
        'line 22, strings.ra\\u202eil: found the name "ra\\u202eil", expected 1 to 60 visible characters without / * [ ] or quotes, '
        "no space at either end.",
    ),
    "text that hides something": (
        "Jetty sample", '"Jetty \\u202esample"', 'line 1, display: found the invisible character "\\u202e", expected plain text. Delete it.',
    ),
}  # fmt: skip


@pytest.mark.parametrize("mistake", MISTAKES)
def test_a_mistake_gets_one_message_that_says_where_what_and_what_instead(mistake: str) -> None:
    old, new, message = MISTAKES[mistake]
    assert complaint((old, new)) == f"{FILE}, {message}"


MANY = """\
display:
ambient: 300 degC
suplies: {}
supplies:
  shed: {voltage: 12, rating: 100 V}
controllers:
  box: {outputs: 0, rate: 40, gang: yes}
kinds:
  float: {fill: {light: bullet-12mm-12w, count: -1}}
  float: {fill: {light: bullet-12mm-12v}}
strings:
  rail:
    output: box/1
    supply: hut
    props: 3 * flaot
    lead: {length: 4 m, joint: cable-3x18awg}
    span: {length: [1 m, 2]}
    fuse: five
levels: {float: 120 %}
labour: {splice: fast}
"""


COMMA = "Write decimals with a point, not a comma, and put no other commas into a quantity."


@pytest.mark.parametrize(
    ("stated", "found"),
    [
        ("length: [1,8 m]", ["1,8 m"]),
        ("length: [1,8 m, 2 m,1,75 m,3 m, 1 m, 1 m, 1 m, 1 m, 1 m, 1 m, 1 m]", ["1,8 m", "1,75 m"]),
        ("length: [1,8m, 12,5 cm, 1 m, 1 m, 1 m, 1 m, 1 m, 1 m, 1 m, 1 m, 1 m]", ["1,8m", "12,5 cm"]),
        ("length: ['1,8 m']", ["1,8 m"]),
        ("length: [0,5']", ["0,5'"]),
    ],
)
def test_a_decimal_comma_inside_a_list_is_told_as_anywhere(stated: str, found: list[str]) -> None:
    told = complaints(jetty(("length: 1.8 m", stated)))
    assert len(told) == len(found)
    for line, text in zip(told, found, strict=True):
        assert f': found "{text}", expected a length like ' in line
        assert line.endswith(COMMA)


def test_places_in_a_list_are_counted_as_they_are_meant() -> None:
    (told,) = complaints(jetty(("current: [18.5 mA, 18.5 mA, 18.5 mA]", "current: [18 mA, 18 mA, 18,5 mA]")))
    assert told.startswith(
        'jetty.yaml, line 9, parts.test-constant-current.light.load.current[3]: found "18,5 mA", expected '
    )


@pytest.mark.parametrize("stated", ["[18, 5 mA, 3 mA]", "[18 mA,18 mA,18]", "['18',5 mA,3 mA]"])
def test_what_is_no_decimal_comma_is_not_taken_for_one(stated: str) -> None:
    (told,) = complaints(jetty(("[18.5 mA, 18.5 mA, 18.5 mA]", stated)))
    assert "without a unit" in told


def test_lists_without_spaces_are_read_as_they_stand() -> None:
    text = jetty(("[18.5 mA, 18.5 mA, 18.5 mA]", "[18 mA,17 mA,16 mA]"), ("12 * float", "[float,2 * float,9 * float]"))
    load = load_text(text, FILE).parts["test-constant-current"].light
    assert load is not None
    assert isinstance(load.load, ConstantCurrentLoad)
    assert load.load.current == pytest.approx((0.018, 0.017, 0.016))
    colour = ", colour: {flux: [1 lm,2 lm,3 lm], xy: [[0.69,0.31],[0.17,0.72],[1,0.06]]}}"
    (told,) = complaints(jetty(("idle: 1 mA}}", "idle: 1 mA}" + colour)))
    assert "xy[3]: found [1, 0.06], expected a CIE 1931 chromaticity" in told


def test_numbers_without_a_unit_know_the_decimal_comma_too() -> None:
    for stated in ("limits: {chromaticity_shift: 0,006}", "limits:\n  chromaticity_shift: 0,006"):
        (told,) = complaints(jetty(("ambient: 5 degC", stated)))
        assert ': found "0,006", expected a distance' in told
        assert told.endswith(COMMA)
    colour = ", colour: {flux: [1 lm, 2 lm, 3 lm], xy: [[0,69, 0,31], [0.17, 0.72], [0.13, 0.06]]}}"
    (told,) = complaints(jetty(("idle: 1 mA}}", "idle: 1 mA}" + colour)))
    assert told.endswith(COMMA)
    (told,) = complaints(jetty(("rating: 100 W,", "rating: 100 W, price: cheap,")))
    assert told.endswith("Write the number alone; currency is a key of its own.")


def test_all_mistakes_of_a_file_are_told_at_once_in_the_order_of_their_lines() -> None:
    assert complaints(MANY) == [
        f"{FILE}, {rest}"
        for rest in (
            'line 1: found no display, expected the key display, like "display: Jetty sample".',
            'line 2, ambient: found "300 degC", expected a temperature like "5 degC" or "41 degF" (from -60 degC to 120 degC).',
            f'line 3, suplies: found the unknown key "suplies", expected one of {KEYS["top"]}. Did you mean "supplies"?',
            'line 5, supplies.shed.rating: found "100 V", which is not a power, expected a power like "100 W" (from 1 mW to 5000 W).',
            'line 5, supplies.shed.voltage: found 12 without a unit, expected a voltage like "12 V" (from 1 V to 60 V).',
            f'line 7, controllers.box.gang: found the unknown key "gang", expected one of {KEYS["controller"]}. Did you mean "gangs"?',
            "line 7, controllers.box.outputs: found 0, expected how many outputs it has, a whole number from 1 to 100,000.",
            'line 7, controllers.box.rate: found 40 without a unit, expected a rate like "40 Hz" (from 0.1 Hz to 1000 Hz).',
            "line 9, kinds.float.fill.count: found -1, expected a count, a whole number from 1 to 1,000.",
            'line 9, kinds.float.fill.light: found "bullet-12mm-12w", expected the name of a light part. Did you mean "bullet-12mm-12v"?',
            'line 10, kinds.float: found the key "float" again, expected it once (first in line 9).',
            'line 14, strings.rail.supply: found "hut", expected the name of a supply. The supplies of the file: "shed".',
            'line 15, strings.rail.props: found "flaot", expected the name of a kind. Did you mean "float"?',
            'line 16, strings.rail.lead.joint: found "cable-3x18awg", which is a cable, expected the name of a joint part.',
            'line 17, strings.rail.span.length[2]: found 2 without a unit, expected a length like "6 ft" or "1.8 m" (from 0.01 mm to 2000 m).',
            'line 18, strings.rail.fuse: found "five", expected the name of a fuse part. The catalogue lists them: hollowglow parts fuse.',
            'line 19, levels.float: found "120 %", expected a percentage like "40 %" (from 0 % to 100 %).',
            'line 20, labour.splice: found "fast", expected a time like "3 min" or "90 s" (from 0 s to 1000000 s).',
        )
    ]  # fmt: skip


def test_two_equal_mistakes_on_one_line_are_two_messages() -> None:
    found = complaints(
        jetty(("turn_on: [2.0 V, 3.0 V, 3.1 V], saturation: 0.6 V", "turn_on: [2, 2, 3.1 V], saturation: 2"))
    )
    assert [line.split(": ")[0] for line in found] == [
        f"{FILE}, line 9, parts.test-constant-current.light.load.saturation",
        f"{FILE}, line 9, parts.test-constant-current.light.load.turn_on[1]",
        f"{FILE}, line 9, parts.test-constant-current.light.load.turn_on[2]",
    ]


def test_lines_are_counted_alike_behind_every_sort_of_line_end() -> None:
    for end in ("\n", "\r\n", "\r"):
        assert complaints(jetty(("length: 1.8 m", "length: 1.8")).replace("\n", end))[0].startswith(
            f"{FILE}, line 27, "
        )
