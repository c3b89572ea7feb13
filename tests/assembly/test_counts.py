"""Props, emitters, nodes and cells are counted apart, and each has its own name."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hollowglow.assembly.ids import cable_ids, emitter_ids, fuse_ids, joint_ids, node_ids, prop_ids
from tests.assembly.samples import CONSTANT_CURRENT, RESISTOR, Stated, built, changed, stated
from tests.outside.displays import random_display
from tests.outside.spice import props_of

GANGED_SINGLES = stated(props="8 * float", fill={"count": 6, "gang": True})
NINE_LED_MODULES = changed(stated(RESISTOR, props="8 * float"), "parts.light.light.emitters", 9)


def counted(display: Stated) -> dict[str, int]:
    assembly = built(display)
    cells = [
        len(np.unique(assembly.nodes.cell[_own(assembly.strings.first_node, s)]))
        for s in range(len(display["strings"]))
    ]
    return {
        "props": len(assembly.props.kind),
        "emitters": len(list(emitter_ids(assembly))),
        "nodes": len(assembly.nodes.prop),
        "cells": sum(cells),
    }


def _own(first: np.ndarray, string: int) -> slice:
    return slice(int(first[string]), int(first[string + 1]))


def test_a_prop_with_six_single_lights_ganged_is_one_cell_and_six_nodes() -> None:
    # Common practice, no source: eight such props make a chain of 48 nodes and 8 cells.
    assert counted(GANGED_SINGLES) == {"props": 8, "emitters": 48, "nodes": 48, "cells": 8}


def test_a_prop_with_one_nine_led_module_is_one_cell_and_one_node() -> None:
    # Common practice, no source: eight such props make a chain of 8 nodes and 8 cells.
    assert counted(NINE_LED_MODULES) == {"props": 8, "emitters": 72, "nodes": 8, "cells": 8}


def test_unganged_lights_are_a_cell_each() -> None:
    assert counted(changed(GANGED_SINGLES, "kinds.float.fill.gang", False))["cells"] == 48


def test_a_controller_that_cannot_gang_gives_every_node_a_cell() -> None:
    assert counted(changed(GANGED_SINGLES, "controllers.box.gangs", False))["cells"] == 48


def test_a_controller_gangs_only_where_its_file_says_so() -> None:
    assert counted(changed(GANGED_SINGLES, "controllers.box.gangs", None))["cells"] == 48


def test_a_fill_is_ganged_unless_it_says_otherwise() -> None:
    assert counted(changed(GANGED_SINGLES, "kinds.float.fill.gang", None))["cells"] == 8


def test_gangs_of_one_display_follow_the_controller_of_each_string() -> None:
    display = changed(GANGED_SINGLES, "controllers.hut", {"outputs": 1, "gangs": False})
    display = changed(display, "strings.gable", {**display["strings"]["rail"], "output": "hut/1"})
    assembly = built(display)
    assert assembly.nodes.cell[:48].tolist() == [1 + node // 6 for node in range(48)]
    assert assembly.nodes.cell[48:].tolist() == list(range(1, 49))


def test_cells_of_a_mixed_string_are_numbered_through() -> None:
    display = changed(GANGED_SINGLES, "kinds.acorn", {"fill": {"light": "light", "count": 3, "gang": False}})
    display["strings"]["rail"]["props"] = ["float", "2 * acorn", "float"]
    assembly = built(display)
    assert assembly.nodes.cell.tolist() == [1] * 6 + [2, 3, 4, 5, 6, 7] + [8] * 6
    assert assembly.nodes.number.tolist() == [1, 2, 3, 4, 5, 6, 1, 2, 3, 1, 2, 3, 1, 2, 3, 4, 5, 6]
    assert assembly.props.number.tolist() == [1, 2, 3, 4]


def test_everything_on_a_small_string_has_the_name_that_a_person_would_look_for() -> None:
    display = stated(
        props="2 * float",
        fill={"count": 2, "wiring": {"cable": "wire", "length": "50 mm"}},
        kind={"pigtail": {"cable": "wire", "length": "150 mm"}},
        string={
            "lead": {"cable": "wire", "length": "1 m", "joint": "splice"},
            "span": {"cable": "wire", "length": "1 m", "joint": "splice"},
            "fuse": "3 A",
            "feeds": [
                {"before": 2, "supply": "shed", "cable": "wire", "length": "2 m", "fuse": "2 A", "joint": "splice"}
            ],
        },
    )
    assembly = built(display)
    assert prop_ids(assembly) == ["rail/prop01", "rail/prop02"]
    assert node_ids(assembly) == [
        "rail/prop01/node1",
        "rail/prop01/node2",
        "rail/prop02/node1",
        "rail/prop02/node2",
    ]
    assert list(emitter_ids(assembly)) == [f"{node}/emitter1" for node in node_ids(assembly)]
    assert cable_ids(assembly) == [
        "rail/lead",
        "rail/prop01/in",
        "rail/prop01/wire1",
        "rail/prop01/out",
        "rail/span01",
        "rail/prop02/in",
        "rail/prop02/wire1",
        "rail/prop02/out",
        "rail/feed02",
    ]
    assert sorted(joint_ids(assembly)) == [
        "rail/feed02/joint",
        "rail/lead/joint",
        "rail/span01/joint1",
        "rail/span01/joint2",
    ]
    assert fuse_ids(assembly) == ["rail/fuse", "rail/feed02/fuse"]


def test_ids_of_some_rows_are_those_of_all_rows_taken_apart() -> None:
    assembly = built(random_display(3))
    for ids in (prop_ids, node_ids, cable_ids, joint_ids, fuse_ids):
        every = ids(assembly)
        rows = list(range(0, len(every), 2))
        assert ids(assembly, rows) == [every[row] for row in rows]
        assert ids(assembly, []) == []


@pytest.mark.parametrize("seed", range(0, 60, 4))
def test_no_two_things_of_a_display_share_an_id(seed: int) -> None:
    assembly = built(random_display(seed))
    every = [
        *prop_ids(assembly),
        *node_ids(assembly),
        *emitter_ids(assembly),
        *cable_ids(assembly),
        *joint_ids(assembly),
        *fuse_ids(assembly),
    ]
    assert len(set(every)) == len(every)


@given(
    count=st.integers(1, 30),
    emitters=st.integers(1, 12),
    props=st.integers(1, 40),
    gang=st.booleans(),
    gangs=st.booleans(),
)
def test_counts_multiply(count: int, emitters: int, props: int, gang: bool, gangs: bool) -> None:
    display = stated(CONSTANT_CURRENT, props=f"{props} * float", fill={"count": count, "gang": gang})
    display = changed(display, "parts.light.light.emitters", emitters)
    display = changed(display, "controllers.box.gangs", gangs)
    assert counted(display) == {
        "props": props,
        "emitters": props * count * emitters,
        "nodes": props * count,
        "cells": props * (1 if gang and gangs else count),
    }


@pytest.mark.parametrize("seed", range(60))
def test_a_random_display_holds_what_its_file_counts(seed: int) -> None:
    display = random_display(seed)
    expected = {"props": 0, "nodes": 0, "cells": 0, "emitters": 0}
    for string in display["strings"].values():
        for kind in props_of(string):
            fill = display["kinds"][kind]["fill"]
            expected["props"] += 1
            expected["nodes"] += fill["count"]
            expected["cells"] += 1 if fill["gang"] else fill["count"]
            expected["emitters"] += fill["count"] * display["parts"][fill["light"]]["light"]["emitters"]
    assert counted(display) == expected


def test_every_load_stands_for_the_nodes_that_point_at_it() -> None:
    for seed in range(20):
        assembly = built(random_display(seed))
        pointing = np.bincount(assembly.nodes.load, minlength=len(assembly.network.load_place))
        assert pointing.tolist() == assembly.network.load_count.tolist()
        assert (
            assembly.network.load_characteristic[assembly.nodes.load] == assembly.props.kind[assembly.nodes.prop]
        ).all()
