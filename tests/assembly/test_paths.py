"""Every piece of cable, joint and fuse lies in the circuit once, with the resistance that its stated length gives."""

from __future__ import annotations

from collections import deque
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hollowglow.assembly import Assembly
from hollowglow.assembly.tables import NONE, CableSort
from tests.assembly.samples import Stated, built, cables_of, changed, fuses_of, joints_of, stated
from tests.outside.displays import random_display
from tests.outside.spice import fuse_ohm, joint_ohm, ohm_per_m, props_of, quantity, run_ohm

WIRE, FEED_WIRE, TAIL, INNER = 0.05, 0.02, 0.08, 0.3
THINGS = {
    "feed-wire": {"cable": {"cores": 2, "resistance": f"{FEED_WIRE} ohm/m"}},
    "tail": {"cable": {"cores": 3, "resistance": f"{TAIL} ohm/m"}},
    "inner": {"cable": {"cores": 3, "resistance": f"{INNER} ohm/m"}},
    "plug": {"joint": {"resistance": "7 mohm", "sort": "plug"}},
    "blade": {"fuse": {"rating": "5 A", "resistance": "11 mohm"}},
}
FULL = stated(
    props="3 * float",
    fill={"count": 3, "wiring": {"cable": "inner", "length": "100 mm"}},
    kind={"pigtail": {"cable": "tail", "length": "200 mm"}},
    string={
        "lead": {"cable": "wire", "length": "4 m", "joint": "plug"},
        "span": {"cable": "wire", "length": ["1 m", "2 m"], "joint": "splice"},
        "fuse": "blade",
    },
    parts=THINGS,
)


def path_ohm(assembly: Assembly, place: int, rail: str) -> float:
    """Resistance of the one way from a supply's terminal to a place, over all its edges (a string fed once)."""
    network = assembly.network
    ohm = network.edge_plus_ohm if rail == "plus" else network.edge_minus_ohm
    neighbours: dict[int, list[tuple[int, float]]] = {}
    for a, b, r in zip(network.edge_a.tolist(), network.edge_b.tolist(), ohm.tolist(), strict=True):
        if np.isfinite(r):
            neighbours.setdefault(a, []).append((b, r))
            neighbours.setdefault(b, []).append((a, r))
    terminals = range(1, 1 + len(network.supply_v))
    reached = dict.fromkeys(terminals, 0.0)
    front = deque(reached)
    while front:
        here = front.popleft()
        for there, r in neighbours.get(here, []):
            if there not in reached:
                reached[there] = reached[here] + r
                front.append(there)
    return reached[place]


def node_path_ohm(assembly: Assembly, node: int, rail: str) -> float:
    return path_ohm(assembly, int(assembly.network.load_place[assembly.nodes.load[node]]), rail)


def accounted(assembly: Assembly) -> tuple[np.ndarray, np.ndarray]:
    """Resistance of every edge in V+ and V-, added up from cables, joints and fuses."""
    minus = np.zeros(len(assembly.network.edge_a))
    for table in (assembly.cables, assembly.joints):
        inside = table.edge != NONE
        np.add.at(minus, table.edge[inside], table.ohm[inside])
    plus = minus.copy()
    np.add.at(plus, assembly.fuses.edge, assembly.fuses.ohm)
    return plus, minus


def test_the_way_to_every_node_of_a_plain_string_is_the_sum_of_its_things() -> None:
    assembly = built(FULL)
    to_first = 4 * WIRE + 0.007 + 0.2 * TAIL
    gap = 0.2 * TAIL + 0.005 + 0.005 + 0.2 * TAIL + 2 * 0.1 * INNER
    before = [to_first, to_first + gap + 1 * WIRE, to_first + 2 * gap + 3 * WIRE]
    for node in range(9):
        expected = before[node // 3] + (node % 3) * 0.1 * INNER
        assert node_path_ohm(assembly, node, "minus") == pytest.approx(expected, rel=1e-12)
        assert node_path_ohm(assembly, node, "plus") == pytest.approx(expected + 0.011, rel=1e-12)


def test_without_wiring_all_nodes_of_a_prop_sit_at_one_point() -> None:
    display = changed(FULL, "kinds.float.fill.wiring", None)
    assembly = built(display)
    assert len(np.unique(assembly.network.load_place)) == 3
    assert node_path_ohm(assembly, 0, "minus") == node_path_ohm(assembly, 2, "minus")


def test_wiring_of_a_single_light_is_no_cable() -> None:
    assembly = built(changed(FULL, "kinds.float.fill.count", 1))
    assert not [name for name in cables_of(assembly) if "wire" in name]


def test_the_last_out_pigtail_is_built_but_carries_nothing() -> None:
    assembly = built(FULL)
    cables = cables_of(assembly)
    assert assembly.cables.edge[cables["rail/prop03/out"]] == NONE
    assert [name for name, row in cables.items() if assembly.cables.edge[row] == NONE] == ["rail/prop03/out"]


def test_a_bare_fuse_rating_adds_no_resistance() -> None:
    assembly = built(changed(FULL, "strings.rail.fuse", "5 A"))
    assert node_path_ohm(assembly, 0, "plus") == node_path_ohm(assembly, 0, "minus")
    assert assembly.fuses.rating_a.tolist() == [5.0]


def test_a_feed_joins_where_the_in_pigtail_of_its_prop_begins() -> None:
    display = changed(FULL, "strings.rail.supply", None)
    display["strings"]["rail"]["feeds"] = [
        {"before": 2, "supply": "shed", "cable": "feed-wire", "length": "6 m", "fuse": "blade", "joint": "plug"}
    ]
    assembly = built(display)
    feed = 6 * FEED_WIRE + 0.007
    back = 0.01 + 1 * WIRE + 0.2 * TAIL + 2 * 0.1 * INNER
    # V- also has the lead; V+ has the feed alone.
    assert node_path_ohm(assembly, 3, "plus") == pytest.approx(feed + 0.011 + 0.2 * TAIL, rel=1e-12)
    assert node_path_ohm(assembly, 0, "plus") == pytest.approx(feed + 0.011 + back, rel=1e-12)
    assert (
        assembly.cables.edge[cables_of(assembly)["rail/prop02/in"]]
        != assembly.cables.edge[cables_of(assembly)["rail/span01"]]
    )


def test_a_cut_opens_v_plus_of_the_span_before_it_and_nothing_else() -> None:
    feed = {"before": 2, "supply": "shed", "cable": "feed-wire", "length": "6 m"}
    whole = built(changed(FULL, "strings.rail.feeds", [feed]))
    cut = built(changed(FULL, "strings.rail.feeds", [{**feed, "cut": True}]))
    opened = np.flatnonzero(np.isinf(cut.network.edge_plus_ohm))
    assert opened.tolist() == [cut.cables.edge[cables_of(cut)["rail/span01"]]]
    kept = np.setdiff1d(np.arange(len(cut.network.edge_a)), opened)
    assert (cut.network.edge_plus_ohm[kept] == whole.network.edge_plus_ohm[kept]).all()
    assert (cut.network.edge_minus_ohm == whole.network.edge_minus_ohm).all()


def test_a_cut_before_the_first_prop_opens_the_lead() -> None:
    feed = {"before": 1, "supply": "shed", "cable": "feed-wire", "length": "6 m", "cut": True}
    assembly = built(changed(FULL, "strings.rail.feeds", [feed]))
    lead = assembly.cables.edge[cables_of(assembly)["rail/lead"]]
    assert np.flatnonzero(np.isinf(assembly.network.edge_plus_ohm)).tolist() == [lead]
    assert node_path_ohm(assembly, 0, "plus") == pytest.approx(6 * FEED_WIRE + 0.2 * TAIL, rel=1e-12)
    assert np.isfinite(assembly.network.edge_minus_ohm[lead])


def test_a_feed_before_the_first_prop_lies_beside_the_lead() -> None:
    feed = {"before": 1, "supply": "shed", "cable": "feed-wire", "length": "6 m"}
    assembly = built(changed(FULL, "strings.rail.feeds", [feed]))
    network, cables = assembly.network, cables_of(assembly)
    lead, fed = (int(assembly.cables.edge[cables[name]]) for name in ("rail/lead", "rail/feed01"))
    assert network.edge_b[lead] == network.edge_b[fed]
    assert network.edge_minus_ohm[[lead, fed]].tolist() == pytest.approx([4 * WIRE + 0.007, 6 * FEED_WIRE])


def test_without_a_supply_v_plus_of_the_lead_is_open_and_v_minus_is_not() -> None:
    assembly = built(changed(FULL, "strings.rail.supply", None))
    lead = assembly.cables.edge[cables_of(assembly)["rail/lead"]]
    assert np.isinf(assembly.network.edge_plus_ohm[lead])
    assert assembly.network.edge_minus_ohm[lead] == pytest.approx(4 * WIRE + 0.007 + 0.2 * TAIL)


def test_feeds_may_be_stated_in_any_order() -> None:
    feeds: list[dict[str, Any]] = [
        {"before": n, "supply": "shed", "cable": "feed-wire", "length": f"{n} m", "fuse": f"{n} A"} for n in (1, 2, 3)
    ]
    along, against = (built(changed(FULL, "strings.rail.feeds", f)) for f in (feeds, feeds[::-1]))
    for assembly in (along, against):
        length = {name: float(assembly.cables.length_m[row]) for name, row in cables_of(assembly).items()}
        rating = {name: float(assembly.fuses.rating_a[row]) for name, row in fuses_of(assembly).items()}
        assert [length[f"rail/feed{n:02d}"] for n in (1, 2, 3)] == [1.0, 2.0, 3.0]
        assert [rating[f"rail/feed{n:02d}/fuse"] for n in (1, 2, 3)] == [1.0, 2.0, 3.0]
    assert (along.network.edge_plus_ohm == against.network.edge_plus_ohm).all()


def test_lengths_of_gaps_are_taken_in_order() -> None:
    assembly = built(FULL)
    cables = cables_of(assembly)
    assert [assembly.cables.length_m[cables[f"rail/span0{n}"]] for n in (1, 2)] == [1.0, 2.0]


def test_drip_loops_lengthen_lead_spans_and_feeds_but_no_pigtail_or_wiring() -> None:
    feed = {"before": 2, "supply": "shed", "cable": "feed-wire", "length": "6 m"}
    dry = built(changed(FULL, "strings.rail.feeds", [feed]))
    wet = built({**changed(FULL, "strings.rail.feeds", [feed]), "drip_loop": "200 mm"})
    longer = {name: wet.cables.length_m[row] - dry.cables.length_m[row] for name, row in cables_of(wet).items()}
    looped = {name for name, more in longer.items() if more != 0.0}
    assert looped == {"rail/lead", "rail/span01", "rail/span02", "rail/feed02"}
    assert [longer[name] for name in looped] == pytest.approx([0.2] * 4)
    plus, minus = accounted(wet)
    assert wet.network.edge_minus_ohm == pytest.approx(minus, rel=1e-12)
    assert wet.network.edge_plus_ohm == pytest.approx(plus, rel=1e-12)


def test_an_extension_brings_its_own_length_cable_and_plugs() -> None:
    extra = {"cord": {"extension": {"cable": "tail", "length": "3 m", "plug": "plug"}}}
    display = changed(FULL, "strings.rail.span", {"extension": "cord"})
    display["parts"].update(extra)
    assembly = built({**display, "drip_loop": "200 mm"})
    cables, joints = cables_of(assembly), joints_of(assembly)
    span = cables["rail/span01"]
    assert assembly.cables.length_m[span] == 3.0
    assert assembly.parts[int(assembly.cables.part[span])] == "tail"
    assert assembly.cables.ohm[span] == pytest.approx(3 * TAIL)
    both = [joints["rail/span01/joint1"], joints["rail/span01/joint2"]]
    assert assembly.joints.ohm[both].tolist() == [0.007, 0.007]
    between = node_path_ohm(assembly, 3, "minus") - node_path_ohm(assembly, 2, "minus")
    assert between == pytest.approx(2 * 0.2 * TAIL + 2 * 0.007 + 3 * TAIL)


def test_the_ready_made_extensions_of_the_catalogue_hold_cable_and_two_plugs() -> None:
    from hollowglow.file.reading.catalogue import raw_catalogue

    names = [name for name, part in raw_catalogue().items() if "extension" in part]
    assert names
    for name in names:
        assembly = built(changed(FULL, "strings.rail.span", {"extension": name}))
        ready = assembly.display.parts[name].extension
        assert ready is not None
        spans = assembly.cables.sort == CableSort.SPAN
        assert assembly.cables.length_m[spans].tolist() == [ready.length] * 2
        assert {assembly.parts[i] for i in assembly.cables.part[spans]} == {ready.cable}
        assert (assembly.joints.number > 0).sum() == 4


@given(
    lengths=st.lists(st.floats(0.01, 20.0), min_size=1, max_size=30),
    lead=st.floats(0.01, 50.0),
    loop=st.floats(0.0, 1.0),
    tail=st.floats(0.0, 0.5),
)
def test_the_way_to_the_last_prop_is_lead_gaps_joints_and_pigtails(
    lengths: list[float], lead: float, loop: float, tail: float
) -> None:
    props = len(lengths) + 1
    display = stated(
        props=f"{props} * float",
        kind={"pigtail": {"cable": "tail", "length": f"{tail!r} m"}} if tail > 1e-6 else {},
        string={
            "lead": {"cable": "wire", "length": f"{lead!r} m"},
            "span": {"cable": "wire", "length": [f"{one!r} m" for one in lengths], "joint": "splice"},
        },
        parts=THINGS,
        drip_loop=f"{loop!r} m",
    )
    tails = (2 * props - 1) * TAIL * (tail if tail > 1e-6 else 0.0)
    cable = WIRE * (lead + sum(lengths) + props * loop)
    assembly = built(display)
    expected = cable + tails + 2 * 0.005 * (props - 1)
    assert node_path_ohm(assembly, props - 1, "minus") == pytest.approx(expected, rel=1e-9)


@pytest.mark.parametrize("seed", range(60))
def test_every_edge_is_the_sum_of_the_cables_joints_and_fuses_in_it(seed: int) -> None:
    assembly = built(random_display(seed))
    plus, minus = accounted(assembly)
    closed = np.isfinite(assembly.network.edge_plus_ohm)
    assert assembly.network.edge_minus_ohm == pytest.approx(minus, rel=1e-12)
    assert assembly.network.edge_plus_ohm[closed] == pytest.approx(plus[closed], rel=1e-12)


@pytest.mark.parametrize("seed", range(0, 60, 3))
def test_all_resistance_that_a_file_states_is_in_the_circuit_once(seed: int) -> None:
    display = random_display(seed)
    assembly = built(display)
    stated_minus = 0.0
    fuses = 0.0
    for string in display["strings"].values():
        kinds = [display["kinds"][kind] for kind in props_of(string)]
        stated_minus += run_ohm(display, string["lead"])
        stated_minus += (len(kinds) - 1) * (run_ohm(display, string["span"]) + 2 * joint_ohm(display, string["span"]))
        stated_minus += sum(run_ohm(display, feed) for feed in string.get("feeds", []))
        tails = [run_ohm(display, kind["pigtail"]) if "pigtail" in kind else 0.0 for kind in kinds]
        stated_minus += 2 * sum(tails) - tails[-1]
        stated_minus += sum(
            run_ohm(display, kind["fill"]["wiring"]) * (kind["fill"]["count"] - 1)
            for kind in kinds
            if "wiring" in kind["fill"]
        )
        fuses += fuse_ohm(display, string) + sum(fuse_ohm(display, feed) for feed in string.get("feeds", []))
    network = assembly.network
    assert network.edge_minus_ohm.sum() == pytest.approx(stated_minus, rel=1e-9)
    closed = np.isfinite(network.edge_plus_ohm)
    open_ohm = network.edge_minus_ohm[~closed].sum()
    assert network.edge_plus_ohm[closed].sum() == pytest.approx(stated_minus + fuses - open_ohm, rel=1e-9)


def test_cold_copper_has_less_resistance() -> None:
    sized: Stated = {"wire": {"cable": {"cores": 3, "size": "18 AWG"}}}
    for ambient in (-20, 5, 20, 45):
        assembly = built(stated(parts=sized, ambient=f"{ambient} degC"))
        # ASTM B258 area, 1/58 ohm mm2/m, 1.02 for the strands, IEC 60028 coefficient: computed by hand.
        expected = ohm_per_m(sized["wire"]["cable"], float(ambient))
        assert assembly.cables.ohm[0] / assembly.cables.length_m[0] == pytest.approx(expected, rel=1e-12)


def test_lengths_in_feet_are_the_same_copper_as_lengths_in_metres() -> None:
    feet = built(changed(FULL, "strings.rail.lead.length", "10 ft"))
    metres = built(changed(FULL, "strings.rail.lead.length", "3.048 m"))
    assert feet.network.edge_plus_ohm == pytest.approx(metres.network.edge_plus_ohm, rel=1e-12)
    assert quantity("10 ft") == pytest.approx(3.048)
