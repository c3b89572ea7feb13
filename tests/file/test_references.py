"""Names that lead nowhere, and limits that hold over the whole file."""

# ruff: noqa: E501 - a message is easiest to compare on one line

from __future__ import annotations

import pytest

from hollowglow.file import load_text
from tests.file.jetty import FILE, complaint, complaints, jetty

PLACES = {
    "fill.light": ("light: test-constant-current", "light: X", 19, "kinds.float.fill.light", "light"),
    "fill.wiring.cable": ("gang: true}\n", "gang: true, wiring: {cable: X, length: 1 m}}\n", 19, "kinds.float.fill.wiring.cable", "cable"),
    "pigtail.cable": ("pigtail: {cable: test-cable", "pigtail: {cable: X", 20, "kinds.float.pigtail.cable", "cable"),
    "pigtail.plug": ("length: 150 mm}", "length: 150 mm, plug: X}", 20, "kinds.float.pigtail.plug", "joint"),
    "gland": ("    pigtail:", "    gland: {part: X}\n    pigtail:", 20, "kinds.float.gland.part", "gland"),
    "hook": ("    pigtail:", "    hook: X\n    pigtail:", 20, "kinds.float.hook", "hook"),
    "supply part": ("shed: {voltage: 12 V, ", "shed: {part: X, voltage: 12 V, ", 4, "supplies.shed.part", "supply"),
    "lead.cable": ("lead: {cable: test-cable", "lead: {cable: X", 26, "strings.rail.lead.cable", "cable"),
    "lead.joint": ("length: 4 m}", "length: 4 m, joint: X}", 26, "strings.rail.lead.joint", "joint"),
    "span.cable": ("span: {cable: test-cable", "span: {cable: X", 27, "strings.rail.span.cable", "cable"),
    "span.joint": ("joint: test-splice}   #", "joint: X}   #", 27, "strings.rail.span.joint", "joint"),
    "span.extension": ("span: {cable: test-cable, length: 1.8 m, joint: test-splice}", "span: {extension: X}", 27, "strings.rail.span.extension", "extension"),
    "fuse": ("fuse: 5 A   ", "fuse: X   ", 28, "strings.rail.fuse", "fuse"),
    "feed cable": ("shed, cable: test-cable", "shed, cable: X", 30, "strings.rail.feeds[1].cable", "cable"),
    "feed joint": ("cut: false", "joint: X", 30, "strings.rail.feeds[1].joint", "joint"),
    "feed fuse": ("fuse: 5 A, cut", "fuse: X, cut", 30, "strings.rail.feeds[1].fuse", "fuse"),
    "extension cable": ("parts:", "parts:\n  e: {extension: {cable: X, length: 1 m, plug: test-splice}}\n#", 8, "parts.e.extension.cable", "cable"),
    "extension plug": ("parts:", "parts:\n  e: {extension: {cable: test-cable, length: 1 m, plug: X}}\n#", 8, "parts.e.extension.plug", "joint"),
}  # fmt: skip


@pytest.mark.parametrize("place", PLACES)
def test_every_place_that_names_a_part_knows_which_role_it_must_have(place: str) -> None:
    old, new, line, where, role = PLACES[place]
    article = "an" if role == "extension" else "a"
    start = f"{FILE}, line {line}, {where}: found "
    assert complaint((old, new.replace("X", "zzzzzz"))) == (
        f'{start}"zzzzzz", expected the name of {article} {role} part. The catalogue lists them: hollowglow parts {role}.'
    )
    wrong, sort = ("test-splice", "a joint") if role != "joint" else ("test-cable", "a cable")
    assert complaint((old, new.replace("X", wrong))) == (
        f'{start}"{wrong}", which is {sort}, expected the name of {article} {role} part.'
    )


def test_a_part_of_the_catalogue_may_be_named_without_being_stated() -> None:
    display = load_text(
        jetty(("joint: test-splice}   #", "joint: splice-gel}   #"), ("fuse: 5 A   ", "fuse: blade-5a   ")), FILE
    )
    assert display.parts["splice-gel"].joint is not None
    assert display.strings["rail"].fuse is not None
    assert display.strings["rail"].fuse.part == "blade-5a"
    assert "splice-solder" not in display.parts


def test_an_extension_brings_its_cable_and_its_plug_along() -> None:
    display = load_text(
        jetty(("{cable: test-cable, length: 1.8 m, joint: test-splice}", "{extension: extension-18awg-1m}")), FILE
    )
    ready = display.parts["extension-18awg-1m"].extension
    assert ready is not None
    assert {ready.cable, ready.plug} <= set(display.parts)


def test_a_level_needs_a_kind() -> None:
    message = 'found "flaot", expected the name of a kind. Did you mean "float"?'
    assert complaint(("{float: 100 %}", "{flaot: 100 %}")) == f"{FILE}, line 31, levels.flaot: {message}"


def test_a_wrong_kind_in_a_list_is_told_at_its_own_line() -> None:
    props = "props:\n      - 6 * float\n      - 6 * flaot #"
    message = 'found "flaot", expected the name of a kind. Did you mean "float"?'
    assert complaint(("props: 12 * float", props)) == f"{FILE}, line 27, strings.rail.props[2]: {message}"


def test_several_counts_in_one_text_are_shown_as_a_list() -> None:
    message = 'found "float, 5 * flaot", expected the name of a kind. Write several as a list, like [5 * float].'
    assert (
        complaint(("props: 12 * float", "props: 7 * float, 5 * flaot"))
        == f"{FILE}, line 25, strings.rail.props: {message}"
    )


def test_several_kinds_in_one_text_are_shown_as_a_list() -> None:
    message = 'found "float, float", expected the name of a kind. Did you mean [float, float]?'
    assert complaint(("12 * float", "float, float")) == f"{FILE}, line 25, strings.rail.props: {message}"


def test_one_output_carries_one_string() -> None:
    found = complaints(
        jetty(("levels:", "  gable: {output: box/01, supply: shed, props: float, lead: {length: 1 m}}\nlevels:"))
    )
    assert found == [
        f'{FILE}, line 31, strings.gable.output: found "box/01", which already carries string "rail", expected an output of its own. '
        "Put all props of one data line into one string, or use another output."
    ]


def test_a_second_feed_at_one_place() -> None:
    second = "before: 7, supply: shed, length: 1 m}\n      - {before: 7, supply: shed"
    message = "found a second feed before prop 7, expected one feed at one place."
    assert complaint(("before: 7, supply: shed", second)) == f"{FILE}, line 31, strings.rail.feeds[2].before: {message}"


def test_lengths_of_spans_are_one_or_one_for_each_gap() -> None:
    message = "found 2 lengths, expected one length, or 11 (one for each gap between 12 props)."
    assert complaint(("length: 1.8 m", "length: [1 m, 2 m]")) == f"{FILE}, line 27, strings.rail.span.length: {message}"
    lengths = ", ".join(f"{i + 1} m" for i in range(11))
    span = load_text(jetty(("length: 1.8 m", f"length: [{lengths}]")), FILE).strings["rail"].span
    assert span is not None
    assert span.length == tuple(float(i + 1) for i in range(11))


def test_more_nodes_than_any_display_has() -> None:
    message = "found 100,000 props with 100,000,000 nodes, expected at most 2,000,000 props and 5,000,000 nodes in one display."
    assert (
        complaint(("count: 5", "count: 1000"), ("12 * float", "100000 * float"))
        == f"{FILE}, line 21, strings: {message}"
    )


def test_a_name_around_which_there_is_space_is_not_the_name_without() -> None:
    message = 'found " shed", expected the name of a supply. Did you mean "shed"?'
    assert complaint(("supply: shed\n", 'supply: " shed"\n')) == f"{FILE}, line 24, strings.rail.supply: {message}"


def test_a_kind_whose_name_reads_as_a_count() -> None:
    message = 'found the name "2x4", expected a name that does not start like a count ("2x").'
    assert (
        complaint(("kinds:", "kinds:\n  2x4: {fill: {light: test-constant-current}}"))
        == f"{FILE}, line 17, kinds.2x4: {message}"
    )


def test_a_fuse_part_whose_name_reads_as_a_rating() -> None:
    message = 'found "5a-blade" as the name of a fuse part, expected a name that starts with a letter, because a fuse may be a bare rating.'
    assert (
        complaint(("parts:", "parts:\n  5a-blade: {fuse: {rating: 5 A}}\n#"))
        == f"{FILE}, line 8, parts.5a-blade: {message}"
    )


@pytest.mark.parametrize("name", ["a/b", "a*b", "[a]", '"a', "x" * 61, '"a "', '""', '"a\\tb"'])
def test_names_that_could_not_be_pointed_at_are_refused(name: str) -> None:
    key = name if name.startswith('"') and name.endswith('"') else f"'{name}'"
    found = complaint(("supplies:\n", f"supplies:\n  {key}: {{voltage: 5 V, rating: 5 W}}\n"))
    assert found.endswith("expected 1 to 60 visible characters without / * [ ] or quotes, no space at either end.")
