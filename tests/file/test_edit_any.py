"""Any sequence of edits states what the same edits of plain data state, and is taken back byte by byte."""

from __future__ import annotations

import copy
import io
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from ruamel.yaml import YAML

from hollowglow.file import history
from hollowglow.file.text.edit import Edit, Insert, Move, Put, Remove, Rename, edited, from_json, merged
from hollowglow.messages.refusal import Refusal

NAMES = ["rail", "float", "before", "length", "a b", "x-1", "12", "yes"]
SCALARS = st.one_of(
    st.sampled_from(["12 V", "box/1", "30 %", "a: b", "# no", "", "null", "yes", 'say "so"', "1.8 m", "3 * float"]),
    st.integers(-5, 900),
    st.booleans(),
    st.floats(-1e6, 1e6).map(lambda v: round(v, 3)),
)
VALUES: st.SearchStrategy[Any] = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.sampled_from(NAMES), inner, max_size=3),
    max_leaves=6,
)
FEW = settings(max_examples=100, deadline=None)


def judged(text: str) -> Any:
    """What another loader of YAML 1.2 makes of a text."""
    return YAML(typ="safe", pure=True).load(io.StringIO(text))


@st.composite
def texts(draw: st.DrawFn) -> str:
    """A text laid out as people do: braces and blocks, comments and gaps, lists in and out of line with their key."""
    lines: list[str] = []
    count = 0

    def comment() -> str:
        nonlocal count
        count += 1
        return f"# note {count}"

    def loose(indent: int) -> None:
        for _ in range(draw(st.integers(0, 2))):
            lines.append(draw(st.sampled_from(["", " " * indent + comment()])))

    def inline(value: Any) -> str:
        stream = io.StringIO()
        yaml = YAML(typ="safe", pure=True)
        yaml.default_flow_style, yaml.width = True, 10**6
        yaml.dump(value, stream)
        return stream.getvalue().replace("\n...\n", "").strip()

    def tail() -> str:
        return draw(st.sampled_from(["", "", "   "])) and "   " + comment()

    def write(value: Any, indent: int, lead: str) -> None:
        big = isinstance(value, (dict, list)) and value
        if not big or draw(st.booleans()):
            lines.append(lead + (" " if lead else "") + inline(value) + tail())
            return
        if lead:
            lines.append(lead + tail())
        if isinstance(value, dict):
            table(value, indent)
            return
        for item in value:
            loose(indent)
            write(item, indent + 4, " " * indent + "-")

    def table(value: dict[str, Any], indent: int) -> None:
        for key, inner in value.items():
            loose(indent)
            step = draw(st.sampled_from([0, 2, 4])) if isinstance(inner, list) else 2
            write(inner, indent + step, " " * indent + inline(key) + ":")

    table(draw(st.dictionaries(st.sampled_from(NAMES), VALUES, min_size=1, max_size=4)), 0)
    loose(0)
    newline = draw(st.sampled_from(["\n", "\n", "\r\n"]))
    return newline.join(lines) + draw(st.sampled_from([newline, ""]))


def places(data: Any, path: tuple[str | int, ...] = ()) -> list[tuple[tuple[str | int, ...], Any]]:
    inner = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    return [(path, data), *(found for key, value in inner for found in places(value, (*path, key)))]


def draw_edit(data: st.DataObject, now: Any) -> tuple[Edit, Any]:
    """An edit that fits what there is, and what it makes of plain data, worked out here on lists and dicts."""
    then = copy.deepcopy(now)
    tables = [(p, v) for p, v in places(then) if isinstance(v, (dict, list))]
    path, table = data.draw(st.sampled_from(tables))
    value = data.draw(VALUES)
    if isinstance(table, dict):
        absent = [n for n in NAMES if n not in table]
        sort = data.draw(
            st.sampled_from((["put", "remove", "rename"] if table else []) + (["new", "insert"] * bool(absent)))
        )
        if sort in ("new", "insert"):
            key = data.draw(st.sampled_from(absent))
            before = data.draw(st.sampled_from([None, *table])) if sort == "insert" else None
            rows = list(table.items())
            at = len(rows) if before is None else list(table).index(before)
            table.clear()
            table.update([*rows[:at], (key, value), *rows[at:]])
            return (Insert((*path, key), value, before) if sort == "insert" else Put((*path, key), value)), then
        key = data.draw(st.sampled_from(list(table)))
        if sort == "put":
            table[key] = value
            return Put((*path, key), value), then
        if sort == "remove":
            del table[key]
            return Remove((*path, key)), then
        name = data.draw(st.sampled_from([key, *absent]))
        rows = [(name if k == key else k, v) for k, v in table.items()]
        table.clear()
        table.update(rows)
        return Rename((*path, key), name), then
    sort = data.draw(st.sampled_from(["insert", *(["put", "remove", "move"] if table else [])]))
    at = data.draw(st.integers(0, len(table) - (sort != "insert")))
    if sort == "insert":
        table.insert(at, value)
        return Insert((*path, at), value), then
    if sort == "put":
        table[at] = value
        return Put((*path, at), value), then
    if sort == "remove":
        del table[at]
        return Remove((*path, at)), then
    to = data.draw(st.integers(0, len(table) - 1))
    table.insert(to, table.pop(at))
    return Move(path, at, to), then


@FEW
@given(text=texts(), data=st.data())
def test_edits_of_text_state_what_edits_of_plain_data_state(text: str, data: st.DataObject) -> None:
    now = judged(text)
    edits: list[Edit] = []
    single, steps = text, now
    for _ in range(data.draw(st.integers(1, 4))):
        edit, steps = draw_edit(data, steps)
        edits.append(edit)
        single = edited(single, [edit])
        assert repr(judged(single)) == repr(steps), edit
    assert repr(judged(edited(text, edits))) == repr(steps)
    assert [from_json(e.to_json()) for e in edits] == edits
    assert all(e.words() and "\n" not in e.words() for e in edits)


@FEW
@given(text=texts(), data=st.data())
def test_comments_on_lines_that_an_edit_is_not_about_stay(text: str, data: st.DataObject) -> None:
    edit, _ = draw_edit(data, judged(text))
    made = edited(text, [edit])
    own = {line.strip() for line in text.splitlines() if line.strip().startswith("#")}
    if isinstance(edit, (Insert, Move, Rename)):
        notes = [line[line.index("# note") :] for line in text.splitlines() if "# note" in line]
        assert all(note in made for note in notes)
    gone = own - {line.strip() for line in made.splitlines()}
    inside = {line.strip() for line in _replaced(text, edit)}
    assert gone <= inside


def _replaced(text: str, edit: Edit) -> list[str]:
    """The lines of the value that an edit puts another one in place of, by the marks of a second reader."""
    if not isinstance(edit, (Put, Remove)):
        return []
    node: Any = YAML(typ="rt", pure=True).compose(text)
    for step in edit.path[:-1]:
        node = node.value[step] if isinstance(step, int) else next(v for k, v in node.value if k.value == step)
    step = edit.path[-1]
    if isinstance(step, str):
        found = [(k, v) for k, v in node.value if k.value == step]
        begin = found[0][0].start_mark.line if found else None
        end = found[0][1].end_mark.line if found else None
    else:
        begin, end = node.value[step].start_mark.line, node.value[step].end_mark.line
    return [] if begin is None else text.splitlines()[begin : end + 1]


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(text=texts(), data=st.data())
def test_undo_and_redo_bring_back_the_very_bytes(
    tmp_path_factory: pytest.TempPathFactory, text: str, data: st.DataObject
) -> None:
    path = tmp_path_factory.mktemp("undo") / "a.yaml"
    path.write_bytes(text.encode("utf-8"))
    kept = [path.read_bytes()]
    now = judged(text)
    for _ in range(3):
        edit, now = draw_edit(data, now)
        before = path.read_bytes().decode("utf-8")
        history.save(path, before, edited(before, [edit]), [edit], edit.words())
        kept.append(path.read_bytes())
    for old in kept[-2::-1]:
        history.undo(path)
        assert path.read_bytes() == old
    for new in kept[1:]:
        history.redo(path)
        assert path.read_bytes() == new
    with pytest.raises(Refusal, match="nothing that was taken back"):
        history.redo(path)


TEXT = """\
# The jetty, second winter
display: 'Jetty'   # a name
ambient: 5 degC

levels: {}
"""


@pytest.fixture
def path(tmp_path: Path) -> Path:
    made = tmp_path / "a.yaml"
    made.write_text(TEXT, encoding="utf-8")
    return made


def test_edits_of_one_place_in_quick_succession_are_one_to_take_back(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(history, "MERGE_S", 3600.0)  # however long this machine takes
    for value in (6, 7, 8):
        history.change(path, [Put(("ambient",), f"{value} degC")], merge=True)
    history.change(path, [Put(("display",), "Pier")], merge=True)
    assert history.undo(path) == "set display to Pier"
    assert history.undo(path) == "set ambient to 8 degC"
    assert path.read_text(encoding="utf-8") == TEXT
    assert history.redo(path) == "set ambient to 8 degC"
    assert path.read_text(encoding="utf-8") == TEXT.replace("5 degC", "8 degC")


def test_edits_of_one_place_after_a_while_stay_apart(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    history.change(path, [Put(("ambient",), "6 degC")], merge=True)
    monkeypatch.setattr(history, "MERGE_S", -1.0)
    history.change(path, [Put(("ambient",), "7 degC")], merge=True)
    history.undo(path)
    assert path.read_text(encoding="utf-8") == TEXT.replace("5 degC", "6 degC")


def test_a_new_edit_leaves_nothing_to_redo(path: Path) -> None:
    history.change(path, [Put(("ambient",), "6 degC")])
    history.undo(path)
    history.change(path, [Put(("ambient",), "7 degC")])
    with pytest.raises(Refusal, match="nothing that was taken back, so there is nothing to redo"):
        history.redo(path)


def test_redo_does_not_lose_what_was_written_by_hand_since(path: Path) -> None:
    history.change(path, [Put(("ambient",), "6 degC")])
    history.undo(path)
    path.write_text(TEXT + "# mine\n", encoding="utf-8")
    with pytest.raises(Refusal, match="was changed by hand since the undo, and redoing would lose that"):
        history.redo(path)
    assert path.read_text(encoding="utf-8") == TEXT + "# mine\n"


def test_an_edit_that_makes_no_display_is_not_written(path: Path) -> None:
    from hollowglow.messages.errors import DisplayError

    with pytest.raises(DisplayError, match="line 3, ambient"):
        history.change(path, [Put(("ambient",), "7 V")])
    assert path.read_text(encoding="utf-8") == TEXT


def test_commands_merge_where_one_says_what_both_do() -> None:
    a = ("levels", "float")
    assert merged(Put(a, 1), Put(a, 2)) == Put(a, 2)
    assert merged(Put(a, 1), Remove(a)) == Remove(a)
    assert merged(Insert(a, 1, "b"), Put(a, 2)) == Insert(a, 2, "b")
    assert merged(Move(a, 0, 2), Move(a, 2, 1)) == Move(a, 0, 1)
    assert merged(Put(a, 1), Put(("levels", "acorn"), 2)) is None
    assert merged(Remove(a), Put(a, 2)) is None


@pytest.mark.parametrize(
    ("data", "told"),
    [
        ({"do": "paint"}, 'An edit is "paint"; expected one with "do": put, remove, insert, move, rename.'),
        ([], 'An edit is a list; expected one with "do": put, remove, insert, move, rename.'),
        ({"do": "put", "path": ["a"]}, "An edit of the sort put lacks value; its keys are path, value."),
        ({"do": "remove", "path": ["a"], "x": 1}, "An edit of the sort remove knows no x; its keys are path."),
        (
            {"do": "remove", "path": []},
            "The path of an edit is a list; expected a list of keys, and of places in lists from 0.",
        ),
        (
            {"do": "move", "path": ["a"], "source": -1, "target": 0},
            "source and target of an edit are places in a list, whole numbers from 0.",
        ),
        ({"do": "rename", "path": ["a"], "name": 1}, "name of an edit is a key, a text."),
    ],
)
def test_plain_data_that_is_no_edit_is_told(data: Any, told: str) -> None:
    with pytest.raises(Refusal) as caught:
        from_json(data)
    assert str(caught.value) == told


@pytest.mark.parametrize(
    ("edit", "told"),
    [
        (Insert(("display",), "x"), "display is there already. Put a value in its place, or choose another name."),
        (Insert(("mains",), "x", "levles"), "levles is not in the file, so nothing can be put before it."),
        (Rename(("lvels",), "x"), "lvels is not in the file, so it cannot be renamed."),
        (Rename(("levels",), "ambient"), "ambient is there already. Choose another name."),
        (Move(("levels",), 0, 1), "levels[1] cannot be put into the file: what stands there is no list."),
        (Move(("lots",), 0, 1), "lots has 0 items; there is none to move from 1 to 2."),
        (Put(("levels", 3), 1), "levels[4] cannot be put into the file: what stands there is no list."),
    ],
)
def test_an_edit_that_does_not_fit_is_told(edit: Edit, told: str) -> None:
    with pytest.raises(Refusal) as caught:
        edited(TEXT, [edit])
    assert str(caught.value) == told


def test_what_an_alias_stands_for_is_not_edited_behind_its_back() -> None:
    text = "a: &l {x: 1}\nb: *l\n"
    with pytest.raises(Refusal, match=r"b\.x cannot be edited: an alias stands for it"):
        edited(text, [Put(("b", "x"), 2)])
    with pytest.raises(Refusal, match="without changing what else it states"):
        edited(text, [Put(("a", "x"), 2)])


def test_what_follows_a_new_name_finds_it() -> None:
    edits = [Rename(("rail",), "jetty"), Put(("jetty", "fuse"), "5 A")]
    assert edited("rail: {fuse: 3 A}\nspare: 1\n", edits) == "jetty: {fuse: 5 A}\nspare: 1\n"
