"""Files appear whole or not at all, never in the place of something that is no file, and never over the demo."""

import csv
import errno
import io
import json
import os
import threading
import xml.etree.ElementTree as ET
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest

from hollowglow.file import load_text
from hollowglow.file.store.writing import file_stem, whole
from hollowglow.jobs.export.tables import addresses, write_csv, write_json, write_svg
from hollowglow.jobs.filling.fill import fill_file
from hollowglow.jobs.shows.light import chosen
from hollowglow.jobs.start.demo import NAMES, write_demo
from hollowglow.jobs.start.parts import list_parts, part_numbers
from hollowglow.jobs.start.schema import display_schema
from hollowglow.messages.refusal import Refusal
from hollowglow.plan import Plan, make_plan
from hollowglow.view.pictures.circuit import string_row
from hollowglow.view.rows.document import document
from tests.messages.cases import case, plan_of, sound


@pytest.fixture
def plan() -> Plan:
    return plan_of(case("fuse-over-joint"))


def full_disk(*_: Any) -> None:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def everything_in(folder: Path) -> list[str]:
    return sorted(p.name for p in folder.rglob("*"))


def test_a_file_is_there_only_when_it_is_whole(tmp_path: Path) -> None:
    target = tmp_path / "plan.json"
    with whole(target) as stream:
        stream.write("one\r\n")
        assert not target.exists()
    assert target.read_bytes() == b"one\r\n"
    assert everything_in(tmp_path) == ["plan.json"]


def test_a_file_that_fails_half_way_leaves_the_old_one_and_nothing_else(tmp_path: Path) -> None:
    target = tmp_path / "plan.json"
    target.write_text("old", encoding="utf-8")

    def write_half() -> None:
        with whole(target) as stream:
            stream.write("half")
            raise ValueError("the plan burst")

    with pytest.raises(ValueError, match="the plan burst"):
        write_half()
    assert target.read_text(encoding="utf-8") == "old"
    assert everything_in(tmp_path) == ["plan.json"]


@pytest.mark.parametrize("step", ["fsync", "replace"])
@pytest.mark.parametrize("write", [write_json, write_csv, write_svg])
def test_a_full_disk_is_told_and_leaves_nothing_half_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, plan: Plan, write: Any, step: str
) -> None:
    monkeypatch.setattr(os, step, full_disk)
    target = tmp_path / "plan.json" if write is write_json else tmp_path
    with pytest.raises(Refusal, match=r"cannot be written \(No space left on device\)\. Choose another place\."):
        write(plan, target)
    assert everything_in(tmp_path) == []


def test_the_demo_is_whole_or_not_there_when_the_disk_fills_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    calls = []
    replace = os.replace

    def second_fails(*arguments: Any) -> None:
        calls.append(arguments)
        if len(calls) == 2:
            full_disk()
        replace(*arguments)

    monkeypatch.setattr(os, "replace", second_fails)
    with pytest.raises(Refusal, match="No space left on device"):
        write_demo(tmp_path / "demo")
    assert everything_in(tmp_path / "demo") == []


def test_the_demo_is_written_as_it_stands_in_the_package(tmp_path: Path) -> None:
    written = write_demo(tmp_path / "new" / "demo")
    assert [p.name for p in written] == list(NAMES)
    for path in written:
        assert path.read_text(encoding="utf-8") == (files("hollowglow.file") / "demo" / path.name).read_text("utf-8")
    assert everything_in(tmp_path / "new" / "demo") == sorted(NAMES)


@pytest.mark.parametrize("there", NAMES)
def test_the_demo_overwrites_nothing_and_then_writes_nothing(tmp_path: Path, there: str) -> None:
    mine = tmp_path / there
    mine.write_text("mine", encoding="utf-8")
    with pytest.raises(Refusal) as told:
        write_demo(tmp_path)
    assert str(told.value) == f"{mine} is there already and is not overwritten. Name another folder."
    assert everything_in(tmp_path) == [there]
    assert mine.read_text(encoding="utf-8") == "mine"


def test_the_demo_does_not_write_through_a_dangling_link(tmp_path: Path) -> None:
    (tmp_path / NAMES[0]).symlink_to(tmp_path / "nowhere")
    with pytest.raises(Refusal, match="is there already"):
        write_demo(tmp_path)
    assert everything_in(tmp_path) == [NAMES[0]]


@pytest.mark.parametrize("place", ["a-file/demo", "x" * 300])
def test_a_place_that_can_hold_no_folder_is_told(tmp_path: Path, place: str) -> None:
    (tmp_path / "a-file").write_text("", encoding="utf-8")
    with pytest.raises(Refusal, match=r"cannot be made a folder \(.+\)\. Choose another place\."):
        write_demo(tmp_path / place)
    assert everything_in(tmp_path) == ["a-file"]


def test_a_missing_folder_is_told(tmp_path: Path, plan: Plan) -> None:
    with pytest.raises(Refusal, match=r"plan\.json cannot be written \(No such file or directory\)"):
        write_json(plan, tmp_path / "missing" / "plan.json")


def test_a_place_with_a_line_break_in_its_name_is_told_on_one_line(tmp_path: Path, plan: Plan) -> None:
    with pytest.raises(Refusal) as told:
        write_json(plan, tmp_path / "mis\nsing" / "plan.json")
    assert str(told.value) == (
        f"{tmp_path}/mis\\nsing/plan.json cannot be written (No such file or directory). Choose another place."
    )
    (tmp_path / "a\tfile").write_text("", encoding="utf-8")
    with pytest.raises(Refusal, match=r"/a\\tfile/demo cannot be made a folder"):
        write_demo(tmp_path / "a\tfile" / "demo")


def test_a_folder_in_the_way_is_told(tmp_path: Path, plan: Plan) -> None:
    (tmp_path / "plan.json").mkdir()
    with pytest.raises(Refusal, match="cannot be written"):
        write_json(plan, tmp_path / "plan.json")
    assert everything_in(tmp_path) == ["plan.json"]


def test_a_link_stays_a_link(tmp_path: Path, plan: Plan) -> None:
    (tmp_path / "real.json").write_text("old", encoding="utf-8")
    (tmp_path / "link.json").symlink_to("real.json")
    write_json(plan, tmp_path / "link.json")
    assert (tmp_path / "link.json").is_symlink()
    assert json.loads((tmp_path / "real.json").read_text(encoding="utf-8"))["display"] == "Sound"


def test_a_pipe_is_written_into_and_not_replaced(tmp_path: Path, plan: Plan) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    got: list[str] = []
    reader = threading.Thread(target=lambda: got.append(pipe.read_text(encoding="utf-8")), daemon=True)
    reader.start()
    write_json(plan, pipe)
    reader.join(timeout=300)
    assert pipe.is_fifo()
    assert json.loads(got[0])["display"] == "Sound"


def read_csv(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def as_text(value: Any) -> str:
    return "; ".join(map(str, value)) if isinstance(value, list) else "" if value is None else str(value)


def test_the_csv_tables_say_what_the_document_says(tmp_path: Path, plan: Plan) -> None:
    written = {p.stem: read_csv(p) for p in write_csv(plan, tmp_path)}
    made = document(plan)
    tables = {name: made[name] for name in written if name not in ("addresses", "work", "kinds", "holes", "steps")}
    tables["work"] = made["cost"]["operations"]
    for inner in ("holes", "steps"):
        tables[inner] = [{"kind": kind["kind"]} | row for kind in made["kinds"] for row in kind[inner]]
    lists = {key for kind in made["kinds"] for key, value in kind.items() if isinstance(value, list)}
    assert {"holes", "steps"} <= lists
    one_value = [{k: v for k, v in kind.items() if k in written["kinds"][0]} for kind in made["kinds"]]
    assert all(
        set(kind) <= lists | {"flux_in_by_colour", "flux_out_by_colour", "polar"} | set(one_value[0])
        for kind in made["kinds"]
    )
    tables["kinds"] = one_value
    assert {"nodes", "cables", "joints", "cuts", "bill", "findings", "supplies", "outputs", "fuses"} <= set(tables)
    for name, rows in tables.items():
        assert written[name] == [{k: as_text(v) for k, v in row.items()} for row in rows], name


def head_of(path: Path) -> list[str]:
    with path.open(encoding="utf-8", newline="") as stream:
        return next(csv.reader(stream), [])


def test_a_table_without_rows_has_its_header_all_the_same(tmp_path: Path, plan: Plan) -> None:
    full = {p.name: head_of(p) for p in write_csv(plan, tmp_path / "full")}
    empty = {p.name: head_of(p) for p in write_csv(make_plan(load_text("display: x")), tmp_path / "empty")}
    assert empty == full
    assert all(full.values())
    without_rows = {name for name in empty if not read_csv(tmp_path / "empty" / name)}
    assert without_rows == empty.keys() - {"assumptions.csv"}


def test_the_address_table_has_each_cell_with_its_slots(tmp_path: Path) -> None:
    data = sound()
    data["controllers"]["box"]["gangs"] = True
    data["kinds"]["float"]["fill"] = {"light": "lamp", "count": 2, "gang": True}
    data["kinds"]["star"] = {"fill": {"light": "lamp", "count": 2, "gang": False}}
    data["strings"]["rail"]["props"] = ["float", "star"]
    rows = list(addresses(plan_of(data)))
    found = [(r["prop"], r["cell"], r["first_node"], r["last_node"], r["first_slot"], r["last_slot"]) for r in rows]
    assert found == [
        ("rail/prop01", 1, 1, 2, 1, 3),
        ("rail/prop02", 2, 3, 3, 4, 6),
        ("rail/prop02", 3, 4, 4, 7, 9),
    ]
    assert {(r["output"], r["string"], r["universe"]) for r in rows} == {("box/1", "rail", 1)}
    (tmp_path / "csv").mkdir()
    write_csv(plan_of(data), tmp_path / "csv")
    assert read_csv(tmp_path / "csv" / "addresses.csv") == [{k: as_text(v) for k, v in r.items()} for r in rows]


@pytest.mark.parametrize("name", ["=1+1", "+cmd", "-2+3", "@SUM(A1)"])
def test_a_spreadsheet_does_not_take_a_name_for_a_formula(tmp_path: Path, name: str) -> None:
    data = sound()
    data["strings"] = {name: data["strings"]["rail"]}
    write_csv(plan_of(data), tmp_path)
    for path in tmp_path.glob("*.csv"):
        for row in csv.reader(io.StringIO(path.read_text(encoding="utf-8"))):
            assert not any(cell[:1] in tuple("=+@") or (cell[:1] == "-" and cell[1:2].isdigit()) for cell in row), row


def test_every_picture_is_an_svg_with_a_title(tmp_path: Path, plan: Plan) -> None:
    written = write_svg(plan, tmp_path)
    assert [p.name for p in written] == ["night.svg", "profile-rail.svg", "supply-shed.svg"]
    for path in written:
        root = ET.parse(path).getroot()
        assert root.tag == "{http://www.w3.org/2000/svg}svg"
        assert root.find("{http://www.w3.org/2000/svg}title") is not None


def test_a_display_with_places_is_drawn_by_day_and_at_night(tmp_path: Path) -> None:
    data = sound()
    data["strings"]["rail"] |= {"place": {"line": [["0 m", "2 m"], ["6 m", "2 m"]]}}
    written = write_svg(plan_of(data), tmp_path)
    assert [p.name for p in written[:2]] == ["yard.svg", "night.svg"]
    assert "seen from the front" in written[0].read_text(encoding="utf-8")


def test_pictures_of_names_that_look_alike_to_a_file_system_are_kept_apart(tmp_path: Path) -> None:
    data = sound()
    rail = data["strings"]["rail"]
    names = ["my rail", "my-rail", "My Rail", ".."]
    data["strings"] = {name: rail | {"output": f"box/{i}"} for i, name in enumerate(names, 1)}
    written = write_svg(plan_of(data), tmp_path)
    assert len({p.name.casefold() for p in written}) == len(names) + 2
    assert {p.parent for p in written} == {tmp_path}
    assert all(p.is_file() for p in written)


def test_a_string_is_found_by_its_name(plan: Plan) -> None:
    assert string_row(plan, "rail") == 0
    assert string_row(plan, None) is None
    with pytest.raises(Refusal) as told:
        string_row(plan, "rial")
    assert str(told.value) == 'There is no string "rial" in this display. Did you mean "rail"?'


def test_the_catalogue_can_be_looked_into() -> None:
    roles = {line.role for line in list_parts()}
    assert {"light", "cable", "joint", "extension", "fuse", "supply", "gland", "hook", "consumable"} == roles
    assert all(line.role == "cable" for line in list_parts("cable"))
    numbers = {n.key: (n.value, n.basis) for n in part_numbers("cable-3x18awg")}
    assert numbers["cable.size"] == ("18 AWG", "standard")
    assert numbers["price"][1] == "typical"
    with pytest.raises(Refusal) as told:
        part_numbers("cable-3x18agw")
    assert str(told.value) == 'There is no part "cable-3x18agw" in the catalogue. Did you mean "cable-3x18awg"?'


def test_the_schema_is_json_and_says_what_extends_is() -> None:
    schema = json.loads(json.dumps(display_schema()))
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert schema["required"] == ["display"]
    assert "extends" in schema["$defs"]["Kind"]["properties"]
    assert schema["$defs"]["String"]["additionalProperties"] is False


def test_names_of_files_suit_every_file_system() -> None:
    # Microsoft, Naming Files, Paths, and Namespaces: reserved names count in any case and with any extension.
    taken: set[str] = set()
    assert [file_stem(name, taken) for name in ("con", "CON", "Aux.b", "lpt1", "console", "a:b", "a?b")] == [
        "con_", "CON_-2", "Aux.b_", "lpt1_", "console", "a-b", "a-b-2",
    ]  # fmt: skip


def test_a_display_without_kinds_or_strings_says_that_it_has_none(tmp_path: Path) -> None:
    bare = tmp_path / "bare.yaml"
    bare.write_text("display: Bare\n", encoding="utf-8")
    with pytest.raises(Refusal) as told:
        fill_file(bare, "float")
    assert str(told.value) == 'There is no kind "float" in this display. The file has no kinds.'
    with pytest.raises(Refusal) as told:
        chosen(make_plan(load_text("display: Bare")).assembly, "rail")
    assert str(told.value) == 'There is no prop or string "rail" in this display: it has no strings. Add one first.'
