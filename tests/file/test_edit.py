"""Edits of a display file change the lines they are about and no other byte."""

from __future__ import annotations

import pytest
from ruamel.yaml import YAML

from hollowglow.file.text.edit import Put, Remove, edited
from hollowglow.file.text.edit import from_json as read_put
from hollowglow.file.text.flow import flow
from hollowglow.file.text.source import parse_text
from hollowglow.messages.refusal import Refusal

FEED = {"before": 7, "supply": "shed", "cable": "feed-2x16awg", "length": "12.4 m", "cut": True}

BLOCK = """\
# The jetty.
display:   Jetty      # two  spaces stay
strings:
  rail:               # the rail
    output: box/1
    lead: {cable: test-cable,   length: 4 m}   # measured twice
    feeds:
      # the old one
      - {before: 3, supply: shed, length: 3 m}   # wet there
      - before: 5
        supply: shed
        length: 1,8 m

    # said before the fuse
    fuse: 5 A

  # the next string
  gable: {output: box/2, lead: {length: 3 m}}
levels: {float: 100 %}
"""


def test_a_list_in_a_block_is_replaced_and_its_comments_stay() -> None:
    text = edited(BLOCK, [Put(("strings", "rail", "feeds"), [FEED])])
    assert text == BLOCK.replace(
        "      # the old one\n      - {before: 3, supply: shed, length: 3 m}   # wet there\n"
        "      - before: 5\n        supply: shed\n        length: 1,8 m\n",
        "      # the old one\n      # wet there\n"
        "      - {before: 7, supply: shed, cable: feed-2x16awg, length: 12.4 m, cut: true}\n",
    )


def test_a_value_in_braces_is_replaced_alone() -> None:
    text = edited(BLOCK, [Put(("strings", "rail", "lead", "cable"), "cable-3x14awg")])
    assert text == BLOCK.replace("test-cable,   length", "cable-3x14awg,   length")


def test_a_plain_value_is_replaced_alone() -> None:
    text = edited(BLOCK, [Put(("strings", "rail", "fuse"), "holder-blade-5a")])
    assert text == BLOCK.replace("fuse: 5 A\n", "fuse: holder-blade-5a\n")


def test_a_pair_without_braces_of_its_own_is_edited_also_where_its_value_ends_in_one() -> None:
    text = "line: [[1 m, 2 m], before: {prop: 3}]\n"
    assert edited(text, [Put(("line", 1, "cut"), True)]) == "line: [[1 m, 2 m], {before: {prop: 3}, cut: true}]\n"
    assert edited(text, [Remove(("line", 1, "before"))]) == "line: [[1 m, 2 m], {}]\n"
    assert edited(text, [Put(("line", 1, "before", "cut"), True)]) == text.replace("3}", "3, cut: true}")


def test_a_key_that_is_not_there_is_added_after_the_last_one_of_its_entry() -> None:
    text = edited(BLOCK, [Put(("strings", "rail", "supply"), "shed")])
    assert text == BLOCK.replace("    fuse: 5 A\n", "    fuse: 5 A\n    supply: shed\n")


def test_a_list_is_added_to_an_entry_in_braces() -> None:
    text = edited(BLOCK, [Put(("strings", "gable", "feeds"), [FEED])])
    assert text == BLOCK.replace(
        "length: 3 m}}\n",
        "length: 3 m}, feeds: [{before: 7, supply: shed, cable: feed-2x16awg, length: 12.4 m, cut: true}]}\n",
    )


def test_a_table_that_is_not_there_is_made() -> None:
    text = edited(BLOCK, [Put(("supplies", "hut", "part"), "supply-24v-60w")])
    assert text == BLOCK + "supplies:\n  hut: {part: supply-24v-60w}\n"
    assert parse_text(text, "display").data["supplies"] == {"hut": {"part": "supply-24v-60w"}}


@pytest.mark.parametrize(
    ("path", "gone"),
    [
        (("strings", "rail", "fuse"), "    fuse: 5 A\n"),
        (("strings", "rail", "lead", "cable"), "cable: test-cable,   "),
        (("strings", "gable", "lead"), ", lead: {length: 3 m}"),
    ],
)
def test_a_key_is_taken_out_with_nothing_else(path: tuple[str, ...], gone: str) -> None:
    assert edited(BLOCK, [Remove(path)]) == BLOCK.replace(gone, "")


def test_taking_out_what_is_not_there_changes_nothing() -> None:
    assert edited(BLOCK, [Remove(("strings", "rail", "span", "cable"))]) == BLOCK


def test_an_empty_list_replaces_feeds_on_one_line() -> None:
    text = edited(BLOCK, [Put(("strings", "rail", "feeds"), [])])
    assert "    feeds: []\n" in text
    assert parse_text(text, "display").data["strings"]["rail"]["feeds"] == []


def test_edits_of_several_places_come_out_as_one_after_the_other() -> None:
    edits = [
        Put(("strings", "rail", "supply"), "shed"),
        Put(("strings", "gable", "feeds"), [FEED]),
        Remove(("strings", "rail", "fuse")),
        Put(("strings", "rail", "feeds"), [FEED]),
        Put(("strings", "rail", "lead", "cable"), "cable-3x14awg"),
        Put(("strings", "gable", "fuse"), "2 A"),
        Put(("supplies", "hut", "voltage"), "12 V"),
        Put(("supplies", "hut", "rating"), "60 W"),
    ]
    text = BLOCK
    for edit in edits:
        text = edited(text, [edit])
    coincident = edited(BLOCK, edits)
    assert parse_text(coincident, "display").data == parse_text(text, "display").data
    assert sorted(coincident.splitlines()) == sorted(text.splitlines())


def test_windows_lines_stay_windows_lines() -> None:
    text = edited(BLOCK.replace("\n", "\r\n"), [Put(("strings", "rail", "feeds"), [FEED])])
    assert text.replace("\r\n", "\n") == edited(BLOCK, [Put(("strings", "rail", "feeds"), [FEED])])
    assert "\n" not in text.replace("\r\n", "")


def test_an_alias_is_replaced_where_it_stands_and_its_anchor_stays() -> None:
    text = "strings:\n  a:\n    lead: &l {length: 4 m}\n  b:\n    lead: *l\n    fuse: 5 A\n"
    assert edited(text, [Put(("strings", "b", "lead"), {"length": "5 m"})]) == text.replace("*l", "{length: 5 m}")
    ends = "strings:\n  a:\n    lead: &l {length: 4 m}\n  b:\n    lead: *l\n"
    assert edited(ends, [Put(("strings", "b", "fuse"), "5 A")]) == ends + "    fuse: 5 A\n"


def test_a_path_through_a_plain_value_is_refused() -> None:
    with pytest.raises(Refusal) as caught:
        edited(BLOCK, [Put(("strings", "rail", "fuse", "part"), "x")])
    assert str(caught.value) == (
        "strings.rail.fuse.part cannot be put into the file: what stands there is no table of keys."
    )


@pytest.mark.parametrize(
    "value", ["yes", "5", "a: b", "# x", " x", 'say "hi"', "12 V", "a\\b", "", "0x10", "1e3", "null", "~"]
)
def test_any_text_is_read_back_as_it_was(value: str) -> None:
    assert parse_text(f"display: {flow(value)}\n", "display").data == {"display": value}


@pytest.mark.parametrize("value", ["-4 ft 6 in", "13 ft 1 1/2 in", "3/4 in", "10 3/16 in", "12 in", "5 ft"])
def test_feet_and_inches_are_written_as_a_hand_writes_them(value: str) -> None:
    assert flow([value]) == f"[{value}]"
    assert YAML(typ="safe").load(f"[{value}]") == [value]


def test_an_edit_is_plain_data_and_back() -> None:
    edit = Put(("strings", "rail", "feeds"), [FEED])
    assert read_put(edit.to_json()) == edit
