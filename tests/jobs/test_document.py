"""The JSON document: the keys that are promised, of the types that are promised, the same however it is written."""

import io
import json
import math
import re
from collections.abc import Iterator
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any

import pytest

from hollowglow.file import load_text
from hollowglow.jobs import plan_document, plan_file
from hollowglow.plan import make_plan
from hollowglow.view.rows.document import document, write
from tests.messages.cases import CASES, case, plan_of
from tests.outside.displays import dump, random_display

NUMBER = (int, float)


@pytest.fixture(scope="module")
def demo() -> Iterator[Path]:
    with as_file(files("hollowglow.file") / "demo" / "landing.yaml") as path:
        yield path


def written(plan: Any) -> dict[str, Any]:
    stream = io.StringIO()
    write(plan, stream)
    read: dict[str, Any] = json.loads(stream.getvalue())
    return read


def without_timings(made: dict[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in json.loads(json.dumps(made)).items() if key != "timings"}


# What every reader of the document may count on: table -> key -> type.
PROMISED: dict[str, dict[str, type | tuple[type, ...]]] = {
    "nodes": {
        "id": str,
        "string": str,
        "prop": int,
        "index": int,
        "cell": int,
        "v_plus": NUMBER,
        "v_minus": NUMBER,
        "v_coincident": NUMBER,
        "current": NUMBER,
        "universe": int,
        "slot": int,
    },
    "supplies": {"id": str, "current": NUMBER, "power": NUMBER, "load_fraction": NUMBER},
    "cables": {"id": str, "length": NUMBER, "current": NUMBER, "drop": NUMBER, "loss": NUMBER},
    "outputs": {
        "id": str,
        "chain_nodes": int,
        "cells": int,
        "frame_time": NUMBER,
        "max_rate": NUMBER,
        "universes": list,
    },
    "findings": {"code": str, "severity": str, "where": list, "message": str, "basis": str, "mend": str},
    "bill": {"part": str, "quantity": NUMBER, "unit": str, "price": NUMBER, "total": NUMBER},
}


@pytest.mark.parametrize("table", PROMISED)
def test_the_promised_keys_are_there_with_their_types(demo: Path, table: str) -> None:
    rows = plan_document(demo)[table]
    assert rows
    for row in rows:
        for key, kind in PROMISED[table].items():
            assert isinstance(row[key], kind), (table, key, row[key])
            assert not isinstance(row[key], bool)


def test_every_step_is_timed_in_seconds(demo: Path) -> None:
    timings = plan_document(demo)["timings"]
    steps = [
        "load",
        "expand",
        "power",
        "signal",
        "cost",
        "faults",
        "mains",
        "light",
        "match",
        "making",
        "place",
        "findings",
    ]
    assert list(timings) == steps
    assert all(isinstance(t, float) and 0.0 <= t < 600.0 for t in timings.values())


def test_written_piece_by_piece_it_is_the_document(demo: Path) -> None:
    plan = plan_file(demo)
    assert written(plan) == json.loads(json.dumps(document(plan)))
    assert without_timings(written(plan)) == without_timings(plan_document(demo))


def test_a_display_without_strings_has_empty_tables() -> None:
    made = written(make_plan(load_text("display: Nothing yet")))
    assert made["display"] == "Nothing yet"
    assert made["nodes"] == made["cables"] == made["cuts"] == made["bill"] == made["findings"] == []
    assert set(made["counts"].values()) == {0}


@pytest.mark.parametrize("code", CASES)
def test_no_mistake_makes_the_document_unreadable(code: str) -> None:
    made = written(plan_of(case(code)))
    assert code in {f["code"] for f in made["findings"]}


def test_where_there_is_no_steady_state_there_is_null() -> None:
    data = case("no-steady-state")
    data["strings"]["rail"] |= {
        "props": "2 * float",
        "span": {"cable": "wire", "length": "1 m", "joint": "twist"},
    }
    text = io.StringIO()
    write(plan_of(data), text)
    assert "NaN" not in text.getvalue()
    made = json.loads(text.getvalue())
    assert made["nodes"][0]["v_plus"] is None or made["nodes"][0]["v_plus"] < 12.0
    for way in ("spliced", "plugged"):
        assert made["joining"][0][way]["drop"] is None or made["joining"][0][way]["drop"] >= 0.0


@pytest.mark.parametrize("seed", range(4))
def test_ids_are_readable_unique_and_stable(seed: int) -> None:
    plan = make_plan(load_text(dump(random_display(seed))))
    made = document(plan)
    strings = "|".join(re.escape(name) for name in plan.assembly.strings.names)
    forms = {
        "nodes": rf"({strings})/prop\d\d+/node[1-9]\d*",
        "cables": rf"({strings})/(lead|span\d\d+|feed\d\d+|prop\d\d+/(in|out|wire[1-9]\d*))",
        "joints": rf"({strings})/(lead/joint|span\d\d+/joint[12]|feed\d\d+/joint)",
        "fuses": rf"({strings})/(feed\d\d+/)?fuse",
        "cuts": rf"({strings})/(lead|span\d\d+|feed\d\d+|prop\d\d+/(in|out|wire[1-9]\d*))",
    }
    for table, form in forms.items():
        ids = [row["id"] for row in made[table]]
        assert len(set(ids)) == len(ids)
        assert all(re.fullmatch(form, i) for i in ids), (table, ids[:3])
    again = document(make_plan(load_text(dump(random_display(seed)))))
    assert without_timings(again) == without_timings(made)


@pytest.mark.parametrize("seed", range(4))
def test_the_numbers_of_the_tables_agree_with_each_other(seed: int) -> None:
    made = document(make_plan(load_text(dump(random_display(seed)))))
    drawn = math.fsum(n["current"] for n in made["nodes"])
    assert math.fsum(s["current"] for s in made["supplies"]) == pytest.approx(drawn, rel=1e-6)
    counts = made["counts"]
    for table in ("nodes", "cables", "joints", "fuses"):
        assert counts[table] == len(made[table])
    assert counts["cells"] == sum(o["cells"] for o in made["outputs"])
    assert counts["nodes"] == sum(o["chain_nodes"] for o in made["outputs"])
    for output in made["outputs"]:
        own = [n for n in made["nodes"] if n["string"] == output["string"]]
        assert [n["index"] for n in own] == list(range(1, output["chain_nodes"] + 1))
        assert len({n["cell"] for n in own}) == output["cells"]
        assert {n["universe"] for n in own} <= set(output["universes"])
    assert all(1 <= n["slot"] <= 510 for n in made["nodes"])
