"""Files and texts that are no display at all: each gets one clear message."""

# ruff: noqa: E501 - a message is easiest to compare on one line

from __future__ import annotations

from pathlib import Path

import pytest

from hollowglow.file import load, load_text
from hollowglow.file.store.files import MOST_BYTES
from hollowglow.file.text.source import parse_text
from hollowglow.messages.errors import DisplayError
from tests.file.jetty import FILE, JETTY, complaint, complaints, jetty
from tests.work import calls_at_most

WANT = "expected a display file (YAML text)."
DEMO = "Start from the demo: hollowglow demo."


def said(path: Path) -> str:
    with pytest.raises(DisplayError) as caught:
        load(path)
    assert len(caught.value.problems) == 1
    return str(caught.value)


def written(tmp_path: Path, raw: bytes) -> Path:
    path = tmp_path / "display.yaml"
    path.write_bytes(raw)
    return path


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    path = tmp_path / "nowhere.yaml"
    assert (
        said(path)
        == f"{path}: found no file of this name, {WANT} Check the name, or start from the demo: hollowglow demo."
    )


def test_a_folder(tmp_path: Path) -> None:
    assert said(tmp_path) == f"{tmp_path}: found a folder, {WANT} Name the file inside it."


def test_a_file_below_a_file(tmp_path: Path) -> None:
    path = written(tmp_path, b"display: x\n") / "more"
    assert said(path) == f"{path}: found a file that cannot be read (Not a directory), {WANT}"


def test_a_name_that_no_file_can_have() -> None:
    assert said(Path("a\0b")) == f"a\\x00b: found a name that no file can have, {WANT}"


def test_a_name_with_a_line_break_stays_on_one_line(tmp_path: Path) -> None:
    path = tmp_path / "a\nb.yaml"
    assert said(path).startswith(f"{tmp_path}/a\\nb.yaml: found no file of this name, ")
    path.write_text("display: x\ndrip_lop: 1 m\n", encoding="utf-8")
    assert said(path).startswith(f"{tmp_path}/a\\nb.yaml, line 2, drip_lop: found ")


def test_a_file_without_permission(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(_path: Path) -> bytes:
        raise PermissionError(13, "Permission denied")

    path = written(tmp_path, b"display: x\n")
    monkeypatch.setattr(Path, "read_bytes", refuse)
    assert (
        said(path)
        == f"{path}: found a file that may not be read, expected permission to read it. Change its permissions."
    )


def test_an_empty_file(tmp_path: Path) -> None:
    for raw in (b"", b"\n \t\n"):
        path = written(tmp_path, raw)
        assert said(path) == f"{path}: found an empty file, {WANT} {DEMO}"


def test_a_binary_file(tmp_path: Path) -> None:
    path = written(tmp_path, b"PK\x03\x04\n\n\x00\x00")
    assert said(path) == f"{path}, line 3: found a binary file (it holds a zero byte), {WANT}"


def test_a_file_that_is_not_utf_8(tmp_path: Path) -> None:
    path = written(tmp_path, "display: x\nabout: Sømme\n".encode("latin-1"))
    assert (
        said(path)
        == f"{path}, line 2: found the byte 0xf8, which is not UTF-8, expected UTF-8 text. Save it again as UTF-8."
    )


def test_a_file_in_utf_16(tmp_path: Path) -> None:
    path = written(tmp_path, "display: x\n".encode("utf-16"))
    assert said(path) == f"{path}: found UTF-16 text, expected UTF-8 text. Save it again as UTF-8."


def test_a_file_beyond_all_measure(tmp_path: Path) -> None:
    path = tmp_path / "big.yaml"
    with path.open("wb") as stream:
        stream.truncate(9 * 2**20)
    assert MOST_BYTES == 8 * 2**20
    assert said(path) == f"{path}: found a file of 9 MiB, expected at most 8 MiB."


TABLE = 'expected a table of keys that starts with "display: a name".'
BROKEN = {
    "text": ("hello world", f'line 1: found "hello world", {TABLE} {DEMO}'),
    "list": ("- a\n- b\n", f"line 1: found a list, {TABLE} {DEMO}"),
    "number": ("5", f"line 1: found 5, {TABLE} {DEMO}"),
    "only a comment": ("# nothing here\n", f"found no keys at all, {TABLE} {DEMO}"),
    "another language": ("<html>\n<p>\n", f'line 1: found "<html> <p>", {TABLE} {DEMO}'),
    "a tab": (
        "display: x\nkinds:\n\tfloat: 5\n",
        "line 3: found a tab where YAML wants spaces, expected YAML text. Use spaces, not tabs, to indent.",
    ),
    "an open brace": (
        "display: x\nsupplies: {a: {voltage: 5 V}\nkinds: {}\n",
        'line 2: found "{" that is not closed before line 3, expected YAML text. Put "}" at its end.',
    ),
    "an open bracket": ("display: [x\n", 'line 1: found "[" that is not closed before line 2, expected YAML text. Put "]" at its end.'),
    "a missing comma": (
        "display: {a: 1 b: 2}\n",
        'line 1: found a part in "{" that does not end well, expected YAML text. '
        'Write a comma between entries, a space after ":", and "}" at the end.',
    ),
    "an open quote": (
        'display: x\nabout: "never ends\n\n\n',
        "line 2: found a quote that is opened and not closed, expected YAML text. Put the same quote at the end of the text.",
    ),
    "two colons": (
        "display: x\nabout: a: b\n",
        'line 2: found a ":" where no key can be, expected YAML text. Keys of one table start in one column; text with ":" in it needs quotes.',
    ),
    "a ragged indent": (
        "display: x\nkinds:\n    a: {}\n   b: {}\n",
        "line 4: found a line that does not fit the lines around it, expected YAML text. "
        "Keys of one table start in one column, and each has a colon and a space after it.",
    ),
    "a star in front": (
        "display: x\nabout: *really*\n",
        'line 2: found "*really*", an alias that nothing defines, expected YAML text. Put the whole text in quotes.',
    ),
    "a percent sign in front": (
        "display: x\nabout: % of light\n", 'line 2: found text that starts with "%", expected YAML text. Put the whole text in quotes.',
    ),
    "two documents": (
        "display: x\n---\ndisplay: y\n", "line 2: found a second document, expected YAML text. Keep one display in one file, without lines of --- or ...",
    ),
    "a control character": ("display: x\nabout: a\x07b\n", 'line 2: found the control character "\\x07", expected plain text. Delete it.'),
    "a lone surrogate": ("display: \ud800\n", 'line 1: found the control character "\\ud800", expected plain text. Delete it.'),
    "lists without end": (
        "display: x\nabout: " + "[" * 5000, "line 2: found lists or tables nested more than 40 deep, expected a display file.",
    ),
    "tables without end": (
        "".join(" " * i + "a:\n" for i in range(2000)), "line 41: found lists or tables nested more than 40 deep, expected a display file.",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", BROKEN)
def test_text_that_is_no_display_gets_one_message(name: str) -> None:
    text, message = BROKEN[name]
    # A reader of YAML looks 1,024 letters ahead, which takes as many calls for each of them at the worst.
    with calls_at_most(10_000_000):
        found = complaints(text)
    assert found == [f"{FILE}, {message}" if message.startswith("line") else f"{FILE}: {message}"]


def test_an_alias_bomb_is_refused_at_once() -> None:
    bomb = "display: x\na: &a [x, x, x, x, x, x, x, x, x]\n" + "".join(
        f"{new}: &{new} [{', '.join([f'*{old}'] * 9)}]\n" for old, new in zip("abcdefgh", "bcdefghi", strict=True)
    )
    with calls_at_most(10_000_000):  # for the 100,000 values up to which it is followed; all would be 43 million
        found = complaints(bomb)
    assert found == [
        f"{FILE}, line 2: found aliases that stand for more than 100,000 values, expected fewer. "
        "Use extends: NAME to take over the keys of another entry."
    ]


def test_an_alias_that_contains_itself() -> None:
    message = "line 25, strings.rail.props[1]: found an alias that contains itself, expected plain values."
    assert complaint(("12 * float ", "&x [*x] ")) == f"{FILE}, {message}"


def test_a_few_aliases_are_welcome_and_an_anchor_may_be_used_again() -> None:
    text = jetty(
        ("length: 4 m}", "length: &l 4 m}"), ("length: 1.8 m", "length: *l"), ("length: 12 m", "length: &l 12 m")
    )
    assert load_text(text, FILE).strings["rail"].span is not None


@pytest.mark.parametrize(
    ("old", "new", "where", "line"),
    [
        ("    supply: shed\n", "    supply: shed\n    supply: shed\n", "strings.rail.supply", 25),
        ("count: 5", "count: 5, count: 6", "kinds.float.fill.count", 19),
        ("levels:", "kinds: {}\nlevels:", "kinds", 31),
    ],
)
def test_a_key_that_stands_twice(old: str, new: str, where: str, line: int) -> None:
    first = {25: 24, 19: 19, 31: 16}[line]
    key = where.rpartition(".")[2]
    assert (
        complaint((old, new))
        == f'{FILE}, line {line}, {where}: found the key "{key}" again, expected it once (first in line {first}).'
    )


@pytest.mark.parametrize(
    "tag", ["!!int 5", "!!str 5", "!mine 5", "!!binary aGk=", "!!python/object/apply:os.system [ls]", "!!set {a}"]
)
def test_a_tag_is_refused_whatever_it_says(tag: str) -> None:
    message = f'line 19, kinds.float.fill.count: found the tag "{tag.split()[0]}", expected plain values without tags. Delete it.'
    assert complaint(("count: 5", f"count: {tag}")) == f"{FILE}, {message}"


def test_a_merge_key_is_pointed_to_extends() -> None:
    message = 'line 4, supplies.shed: found the merge key "<<", expected plain keys. Use extends: NAME to take over the keys of another entry.'
    assert complaint(("voltage: 12 V", "<<: {voltage: 12 V}")) == f"{FILE}, {message}"


def test_a_key_that_is_a_list() -> None:
    message = "line 31: found a key that is a list or a table, expected a word as key."
    assert complaint(("levels:", "? [a]\n: 5\nlevels:")) == f"{FILE}, {message}"


def test_half_a_character_is_refused_in_values_and_in_keys() -> None:
    message = (
        'line 18, kinds.float.shell.shape: found the invisible character "\\ud800", expected plain text. Delete it.'
    )
    assert complaint(("shape: sphere", 'shape: "\\ud800"')) == f"{FILE}, {message}"
    message = 'line 31, \\ud800: found half of a character in the key "\\ud800", expected a word as key.'
    assert complaint(("levels:", '"\\ud800": 5\nlevels:')) == f"{FILE}, {message}"


def test_numbers_and_words_keep_what_the_file_says() -> None:
    data = parse_text('a: 010\nb: 0x10\nc: 1e3\nd: "5"\ne: ~\nf: yes\ng: true\nh: 2024-12-01\ni: 1:30\n', FILE).data
    assert data == {
        "a": 10,
        "b": 16,
        "c": 1000.0,
        "d": "5",
        "e": None,
        "f": "yes",
        "g": True,
        "h": "2024-12-01",
        "i": "1:30",
    }


def test_every_key_keeps_its_line() -> None:
    source = parse_text(JETTY, FILE)
    assert source.line(("strings", "rail", "feeds", 0, "cut")) == 30
    assert source.line(("strings", "rail", "not", "there")) == 22
    assert source.line(("levels", "float")) == 31
