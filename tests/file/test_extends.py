"""Entries that take over keys from others, and file parts laid over catalogue parts."""

# ruff: noqa: E501 - a message is easiest to compare on one line

from __future__ import annotations

from hollowglow.file import load_text
from hollowglow.file.reading.load import load_part
from tests.file.jetty import FILE, complaint, complaints, jetty
from tests.work import counted

MORE = "levels:"
CIRCLE = "expected entries that do not extend each other in a circle."


def test_an_entry_takes_over_what_it_does_not_state() -> None:
    display = load_text(
        jetty((MORE, "  gable:\n    extends: rail\n    output: box/2\n    span: {length: 0.9 m}\nlevels:")), FILE
    )
    rail, gable = display.strings["rail"], display.strings["gable"]
    assert gable.output.number == 2
    assert gable.props == rail.props
    assert gable.span is not None
    assert gable.span.length == (0.9,)
    assert gable.span.joint == "test-splice"


def test_an_entry_may_extend_one_that_extends_another_in_any_order() -> None:
    display = load_text(
        jetty(("supplies:\n", "supplies:\n  a: {extends: b, price: 3}\n  b: {extends: shed, rating: 60 W}\n")), FILE
    )
    assert display.supplies["a"].rating == 60.0
    assert display.supplies["a"].voltage == 12.0
    assert display.supplies["b"].price is None


def test_an_emptied_key_gives_up_what_would_be_taken_over() -> None:
    display = load_text(jetty((MORE, "  gable: {extends: rail, output: box/2, fuse: , feeds: }\nlevels:")), FILE)
    assert display.strings["gable"].fuse is None
    assert display.strings["gable"].feeds == ()


def test_a_part_of_the_file_lies_over_the_catalogue_part_of_its_name() -> None:
    display = load_text(jetty(("parts:", "parts:\n  cable-3x18awg: {price: 9, cable: {ampacity: 3 A}}\n#")), FILE)
    part, built_in = display.parts["cable-3x18awg"], load_part("cable-3x18awg")
    assert part.price == 9.0
    assert part.cable is not None
    assert part.cable.ampacity == 3.0
    assert built_in.cable is not None
    assert part.cable.size == built_in.cable.size
    assert built_in.cable.ampacity is None


def test_another_characteristic_replaces_the_load_whole() -> None:
    constant_power = "{class: constant-power, power: [1 W, 1 W, 1 W], efficiency: 0.9, cutoff: 6 V}"
    display = load_text(
        jetty(("parts:", f"parts:\n  mine: {{extends: bullet-12mm-12v, light: {{load: {constant_power}}}}}\n#")), FILE
    )
    light = display.parts["mine"].light
    assert light is not None
    assert light.load.characteristic == "constant-power"
    assert light.emitters == 1


def test_a_circle_is_told_once_and_nothing_is_said_to_be_missing_for_it() -> None:
    loop = "strings:\n  a: {extends: b, output: box/2}\n  b: {extends: c, output: box/3}\n  c: {extends: a, output: box/4}\n  d: {extends: a}\n"
    assert (
        complaint(("strings:\n", loop))
        == f"{FILE}, line 24, strings.c.extends: found a circle (a -> b -> c -> a), {CIRCLE}"
    )


def test_an_entry_that_extends_itself() -> None:
    message = f"{FILE}, line 23, strings.rail.extends: found a circle (rail -> rail), {CIRCLE}"
    assert complaint(("    output: box/1", "    extends: rail\n    output: box/1")) == message


def test_two_circles_are_two_messages() -> None:
    loops = "supplies:\n  a: {extends: b}\n  b: {extends: a}\n  c: {extends: c}\n"
    assert complaints(jetty(("supplies:\n", loops))) == [
        f"{FILE}, line 5, supplies.b.extends: found a circle (a -> b -> a), {CIRCLE}",
        f"{FILE}, line 6, supplies.c.extends: found a circle (c -> c), {CIRCLE}",
    ]


def test_an_entry_that_extends_nothing_known() -> None:
    message = 'found "rial", expected the name of another entry of strings. Did you mean "rail"?'
    assert (
        complaint((MORE, "  gable: {extends: rial}\nlevels:")) == f"{FILE}, line 31, strings.gable.extends: {message}"
    )
    message = 'found "float", expected the name of another entry of strings. The other strings of the file: "rail".'
    assert (
        complaint((MORE, "  gable: {extends: float}\nlevels:")) == f"{FILE}, line 31, strings.gable.extends: {message}"
    )
    message = "found a list, expected the name of another entry of strings. The file has no other strings."
    assert (
        complaint(("    output: box/1", "    extends: [rail]\n    output: box/1"))
        == f"{FILE}, line 23, strings.rail.extends: {message}"
    )


def test_a_mistake_that_others_take_over_is_told_once_where_it_stands() -> None:
    first = jetty(
        ("strings:\n", "strings:\n  gable: {extends: rail, output: box/2}\n"), ("length: 1.8 m", "length: 1.8")
    )
    message = 'found 1.8 without a unit, expected a length like "6 ft" or "1.8 m" (from 0.01 mm to 2000 m).'
    assert complaints(first) == [f"{FILE}, line 28, strings.rail.span.length: {message}"]


def test_what_is_wrong_for_the_heir_only_is_told_of_the_heir() -> None:
    found = complaints(jetty((MORE, "  gable: {extends: rail, props: 3 * float}\nlevels:")))
    assert found == [
        f"{FILE}, line 31, strings.gable.feeds[1].before: found 7, expected the number of a prop on this string (1 to 3).",
        f'{FILE}, line 31, strings.gable.output: found "box/1", which already carries string "rail", expected an output of its own. '
        "Put all props of one data line into one string, or use another output.",
    ]


def test_extends_stands_only_in_the_entries_of_a_section() -> None:
    assert 'found the unknown key "extends"' in complaint(("shell: {", "shell: {extends: float, "))
    assert 'found the unknown key "extends"' in complaint(("display: ", "extends: rail\ndisplay: "))


def test_a_part_may_not_change_the_role_of_the_catalogue_part_of_its_name() -> None:
    found = complaints(jetty(("parts:", "parts:\n  cable-3x18awg: {extends: test-splice}\n#")))
    assert found == [
        f"{FILE}, line 8, parts.cable-3x18awg: found a joint with the name of a cable of the catalogue, expected a cable, or another name."
    ]


def test_a_long_line_of_descent_is_read_quickly() -> None:
    calls = []
    for count in (600, 1200):  # the second is longer than Python's functions may be nested
        heirs = "".join(f"  s{i}: {{extends: s{i + 1}}}\n" for i in range(count))
        with counted() as made:
            display = load_text(jetty(("supplies:\n", f"supplies:\n{heirs}  s{count}: {{extends: shed}}\n")), FILE)
        assert display.supplies["s0"].voltage == 12.0
        calls.append(made())
    # Twice as long takes twice the work, not four times.
    assert calls[1] < 2.1 * calls[0]
