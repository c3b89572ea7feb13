"""Which cable is behind which fuse, with feeds cut and joined."""

from __future__ import annotations

import pytest

from hollowglow.analysis.circuit.power.ratings import cable_ampacity, zones
from hollowglow.analysis.circuit.power.supplies import joined_supplies
from hollowglow.assembly import Assembly
from hollowglow.assembly.ids import cable_ids, fuse_ids
from hollowglow.assembly.tables import NONE
from tests.analysis.circuit.power.test_findings import codes, power_findings
from tests.assembly.samples import Stated, built, changed, stated

LOFT = {"voltage": "12 V", "rating": "100 W"}


def four(feed: Stated | None = None, **string: object) -> Stated:
    """Four props with pigtails, spans and perhaps a feed before the third."""
    display = stated(
        props="4 * float",
        kind={"pigtail": {"cable": "wire", "length": "100 mm"}},
        string=dict(string),
        supplies={"shed": LOFT, "loft": LOFT},
    )
    whole = {"before": 3, "supply": "shed", "cable": "wire", "length": "2 m"}
    return display if feed is None else changed(display, "strings.rail.feeds", [{**whole, **feed}])


def behind(assembly: Assembly, fuse: str) -> set[str]:
    """Ids of the cables in the zone of a fuse, the fused cable itself included."""
    zone = zones(assembly)
    row = fuse_ids(assembly).index(fuse)
    own = zone.of_fuse[row]
    of_edge = zone.of_edge.copy()
    of_edge[assembly.fuses.edge] = zone.of_fuse
    edges = assembly.cables.edge
    return {
        name for name, edge in zip(cable_ids(assembly), edges, strict=True) if edge != NONE and of_edge[edge] == own
    }


PROP = {n: {f"rail/prop0{n}/in", f"rail/prop0{n}/out"} for n in range(1, 5)}
ALL = {"rail/lead", "rail/span01", "rail/span02", "rail/span03", *PROP[1], *PROP[2], *PROP[3], "rail/prop04/in"}


def test_a_string_fed_once_lies_behind_its_fuse() -> None:
    assert behind(built(four(fuse="5 A")), "rail/fuse") == ALL


def test_a_cut_parts_the_string_between_two_fuses() -> None:
    assembly = built(four({"cut": True, "fuse": "3 A"}, fuse="5 A"))
    near = behind(assembly, "rail/fuse")
    far = behind(assembly, "rail/feed03/fuse")
    assert far == {"rail/feed03", "rail/span03", *PROP[3], "rail/prop04/in"}
    assert near >= {"rail/lead", "rail/span01", *PROP[1], "rail/prop02/in"}
    assert not near & far


def test_a_feed_without_a_cut_puts_the_whole_string_behind_both_fuses() -> None:
    assembly = built(four({"fuse": "3 A"}, fuse="5 A"))
    assert behind(assembly, "rail/fuse") == behind(assembly, "rail/feed03/fuse") == ALL | {"rail/feed03"}


def test_two_strings_on_one_supply_lie_behind_their_own_fuses() -> None:
    display = four(fuse="5 A")
    display["strings"]["gable"] = {**display["strings"]["rail"], "output": "box/2", "fuse": "2 A"}
    assembly = built(display)
    assert behind(assembly, "rail/fuse") == ALL
    assert behind(assembly, "gable/fuse") == {name.replace("rail", "gable") for name in ALL}


def ampacity(display: Stated, thin: str, where: str) -> Stated:
    """All cable good for 10 A, that of one place for less."""
    display = changed(display, "parts.wire.cable.ampacity", "10 A")
    display = changed(display, "parts.thin", {"cable": {"resistance": "0.05 ohm/m", "ampacity": thin}})
    return changed(display, where, "thin")


@pytest.mark.parametrize(
    ("place", "blamed"),
    [
        ("strings.rail.lead.cable", "rail/fuse"),
        ("strings.rail.feeds.0.cable", "rail/feed03/fuse"),
    ],
)
def test_with_a_cut_a_thin_cable_is_held_against_its_own_fuse_only(place: str, blamed: str) -> None:
    display = ampacity(four({"cut": True, "fuse": "5 A"}, fuse="5 A"), "4 A", place)
    (found,) = (f for f in power_findings(display) if f.code == "fuse-over-cable")
    assert found.where[0] == blamed


@pytest.mark.parametrize("place", ["strings.rail.lead.cable", "strings.rail.feeds.0.cable"])
def test_without_a_cut_a_thin_cable_is_held_against_both_fuses(place: str) -> None:
    display = ampacity(four({"fuse": "5 A"}, fuse="5 A"), "4 A", place)
    assert {f.where[0] for f in power_findings(display) if f.code == "fuse-over-cable"} == {
        "rail/fuse",
        "rail/feed03/fuse",
    }


def test_the_thinnest_cable_behind_a_fuse_counts_wherever_it_is() -> None:
    display = ampacity(four(fuse="5 A"), "4 A", "kinds.float.pigtail.cable")
    (found,) = (f for f in power_findings(display) if f.code == "fuse-over-cable")
    assert found.where == ("rail/fuse", "rail/prop01/in")


def test_a_feed_without_a_fuse_leaves_the_fused_string_unprotected_too() -> None:
    joined = ampacity(four({}, fuse="3 A"), "4 A", "strings.rail.lead.cable")
    assert "no-fuse" in codes(joined)
    assert "no-fuse" not in codes(changed(joined, "strings.rail.feeds.0.fuse", "3 A"))


def test_behind_a_cut_an_unfused_feed_is_no_danger_to_the_thin_lead() -> None:
    display = ampacity(four({"cut": True}, fuse="3 A"), "4 A", "strings.rail.lead.cable")
    display = changed(display, "parts.wire.cable.ampacity", "20 A")
    assert "no-fuse" not in codes(display)
    assert "no-fuse" in codes(changed(display, "strings.rail.feeds.0.cable", "thin"))


def test_a_string_without_a_supply_is_no_danger_and_a_feed_to_it_may_be() -> None:
    display = ampacity(changed(four({"before": 1}), "strings.rail.supply", None), "4 A", "strings.rail.feeds.0.cable")
    assert "no-fuse" in codes(display)
    assert "no-fuse" not in codes(changed(display, "strings.rail.feeds.0.fuse", "3 A"))


def test_a_supply_that_cannot_overload_its_cable_needs_no_fuse() -> None:
    display = ampacity(four(), "4 A", "strings.rail.lead.cable")
    assert "no-fuse" in codes(changed(display, "supplies.shed.rating", "48.1 W"))
    assert "no-fuse" not in codes(changed(display, "supplies.shed.rating", "48 W"))


def test_supplies_are_joined_where_their_v_plus_meets_and_only_there() -> None:
    assert joined_supplies(built(four({"supply": "loft"}))) == [[0, 1]]
    assert joined_supplies(built(four({"supply": "loft", "cut": True}))) == []
    assert joined_supplies(built(four({"supply": "shed"}))) == []
    assert joined_supplies(built(changed(four({"supply": "loft"}), "strings.rail.supply", None))) == []


def test_supplies_may_be_joined_by_way_of_a_third() -> None:
    display = four({"supply": "loft"})
    display["supplies"]["pier"] = LOFT
    display["strings"]["gable"] = {
        **display["strings"]["rail"],
        "output": "box/2",
        "supply": "pier",
        "feeds": [{"before": 2, "supply": "loft", "cable": "wire", "length": "1 m"}],
    }
    assert joined_supplies(built(display)) == [[0, 1, 2]]


def test_a_stated_ampacity_goes_before_that_of_the_size() -> None:
    display = stated(
        parts={"wire": {"cable": {"size": "18 AWG"}}, "own": {"cable": {"size": "18 AWG", "ampacity": "4 A"}}}
    )
    parts = built(changed(display, "strings.rail.lead.cable", "own")).display.parts
    wire, own = parts["wire"].cable, parts["own"].cable
    assert wire is not None
    assert own is not None
    # NEC table 400.5(A)(1) column B: 18 AWG, two conductors, 10 A.
    assert cable_ampacity(wire)[0] == 10.0
    assert cable_ampacity(own) == (4.0, "the part's own ampacity")


def test_a_cable_whose_size_is_unknown_is_held_against_no_fuse() -> None:
    assert "fuse-over-cable" not in codes(four(fuse="30 A"))


def test_a_zone_is_bare_where_a_supply_reaches_it_without_a_fuse() -> None:
    def bare(display: Stated) -> list[bool]:
        assembly = built(display)
        zone = zones(assembly)
        inner = [
            edge for name, edge in zip(cable_ids(assembly), assembly.cables.edge, strict=True) if name.endswith("/in")
        ]
        return [bool(zone.bare[zone.of_edge[edge]]) for edge in inner if zone.of_edge[edge] != NONE]

    assert set(bare(four({"fuse": "3 A"}, fuse="5 A"))) == {False}
    assert set(bare(four({}, fuse="5 A"))) == {True}
    assert bare(four({"cut": True}, fuse="5 A")) == [False, True, True]


def test_every_unfused_string_of_a_supply_is_told_of_its_own_thin_cable() -> None:
    display = ampacity(four(), "4 A", "strings.rail.lead.cable")
    display["strings"]["gable"] = {**display["strings"]["rail"], "output": "box/2"}
    assert [f.where for f in power_findings(display) if f.code == "no-fuse"] == [
        ("rail", "rail/lead"),
        ("gable", "gable/lead"),
    ]


def three_fuses(weak: str, **feed: object) -> Stated:
    """Fuses of 3 A at the lead and before props 2 and 4, all cable good for 20 A but the one named."""
    feeds = [{"before": n, "supply": "shed", "cable": "wire", "length": "2 m", "fuse": "3 A", **feed} for n in (2, 4)]
    display = changed(four(fuse="3 A"), "strings.rail.feeds", feeds)
    display = changed(display, "parts.wire.cable.ampacity", "20 A")
    display["parts"]["thin"] = {"cable": {"resistance": "0.05 ohm/m", "ampacity": "5 A"}}
    return changed(display, weak, "thin")


@pytest.mark.parametrize(
    ("weak", "amps"),
    [
        ("strings.rail.span.cable", 6),
        ("kinds.float.pigtail.cable", 9),
        ("strings.rail.lead.cable", 6),
        ("strings.rail.feeds.0.cable", 6),
    ],
)
def test_a_piece_that_several_fuses_feed_from_one_side_must_stand_their_sum(weak: str, amps: int) -> None:
    # A fault at the supply's end of the lead is fed backwards through the lead by both feeds, and so is each feed by
    # the two others; a span has two fuses on one of its sides, the last pigtail all three before it.
    display = three_fuses(weak)
    assert "fuses-add-up" in codes(display)
    assert "fuses-add-up" not in codes(changed(display, "parts.thin.cable.ampacity", f"{amps} A"))
    assert "fuses-add-up" in codes(changed(display, "parts.thin.cable.ampacity", f"{amps - 0.1} A"))


@pytest.mark.parametrize("weak", ["strings.rail.span.cable", "strings.rail.lead.cable", "strings.rail.feeds.0.cable"])
def test_cuts_keep_fuses_from_adding_up(weak: str) -> None:
    assert "fuses-add-up" not in codes(three_fuses(weak, cut=True))


def test_two_fuses_do_not_add_up_in_a_span_that_lies_between_them() -> None:
    # Before prop 4 there is one fuse on either side of every span: 3 A from the left, 3 A from the right.
    display = three_fuses("strings.rail.span.cable")
    display["strings"]["rail"]["feeds"] = display["strings"]["rail"]["feeds"][1:]
    display["parts"]["thin"]["cable"]["ampacity"] = "3 A"
    assert "fuses-add-up" not in codes(display)


def test_a_dead_end_before_a_cut_lies_behind_the_fuse_that_it_hangs_on() -> None:
    assembly = built(four({"cut": True, "fuse": "3 A"}, fuse="5 A"))
    assert behind(assembly, "rail/fuse") == {"rail/lead", "rail/span01", *PROP[1], *PROP[2], "rail/span02"}
    display = ampacity(four({"cut": True, "fuse": "2 A"}, fuse="5 A", span=UNEVEN), "4 A", "strings.rail.span.cable")
    assert [f.where for f in power_findings(display) if f.code == "fuse-over-cable"] == [("rail/fuse", "rail/span01")]


UNEVEN = {"cable": "wire", "length": "1 m"}


def test_a_dead_end_is_reached_by_all_fuses_before_its_cut() -> None:
    # Fuses before props 1 and 2 both feed a fault at the end of the span before the cut at prop 3.
    feeds = [
        {"before": n, "supply": "shed", "cable": "wire", "length": "2 m", "fuse": "3 A", "cut": n == 3} for n in (2, 3)
    ]
    display = changed(four(fuse="3 A"), "strings.rail.feeds", feeds)
    display = changed(display, "parts.wire.cable.ampacity", "5 A")
    (found,) = (f for f in power_findings(display) if f.code == "fuses-add-up")
    assert found.where[:2] == ("rail/fuse", "rail/feed02/fuse")
    assert "6 A" in found.message


def test_a_lead_that_is_cut_before_its_first_prop_is_behind_its_fuse_alone() -> None:
    display = four({"before": 1, "cut": True, "fuse": "3 A"}, fuse="5 A")
    assembly = built(display)
    assert behind(assembly, "rail/fuse") == {"rail/lead"}
    assert behind(assembly, "rail/feed01/fuse") == (ALL - {"rail/lead"}) | {"rail/feed01"}
    # A short in the lead itself still goes through its fuse, one in the string does not.
    thin_string = ampacity(display, "4 A", "strings.rail.span.cable")
    assert codes(thin_string) == set()
    thin_lead = ampacity(display, "4 A", "strings.rail.lead.cable")
    assert [f.where for f in power_findings(thin_lead)] == [("rail/fuse", "rail/lead")]


def test_a_fuse_on_a_string_without_a_supply_is_not_judged() -> None:
    display = ampacity(four({"before": 1, "fuse": "3 A"}, fuse="30 A"), "4 A", "strings.rail.span.cable")
    assert "fuse-over-cable" in codes(display)
    alone = changed(display, "strings.rail.supply", None)
    assert not {"fuse-over-cable", "fuses-add-up", "fuse-load", "fuse-blows"} & codes(alone)


def test_joints_of_a_lead_and_of_a_feed_stand_the_fuses_of_the_others() -> None:
    joint = {"resistance": "5 mohm", "rating": "5 A"}
    for place in ("strings.rail.lead.joint", "strings.rail.feeds.0.joint"):
        display = changed(three_fuses("strings.rail.lead.cable"), "parts.thin.cable.ampacity", "20 A")
        display = changed(changed(display, "parts.splice.joint", joint), place, "splice")
        (found,) = (f for f in power_findings(display) if f.code == "fuses-add-up")
        assert found.where[-1].endswith("/joint")
        assert "fuses-add-up" not in codes(changed(display, "parts.splice.joint.rating", "6 A"))


def test_a_missing_fuse_is_put_where_power_enters() -> None:
    def mend(display: Stated) -> str:
        (found,) = (f for f in power_findings(display) if f.code == "no-fuse")
        return found.mend

    twice = ampacity(four({"supply": "loft"}), "4 A", "strings.rail.lead.cable")
    assert mend(twice) == "Put a fuse of 4 A each in V+ of rail/lead at shed and rail/feed03 at loft."
    # Behind the feed both fuses reach the last pigtail: half of its 4 A for each.
    pigtail = ampacity(four({}), "4 A", "kinds.float.pigtail.cable")
    assert mend(pigtail) == "Put a fuse of 2 A each in V+ of rail/lead at shed and rail/feed03 at shed."
    beside = ampacity(four({}, fuse="3 A"), "4 A", "kinds.float.pigtail.cable")
    assert mend(beside) == "Put a fuse of 1 A in V+ of rail/feed03 at shed."
    full = ampacity(four({}, fuse="4 A"), "4 A", "kinds.float.pigtail.cable")
    assert mend(full).startswith("Set cut: true on the feeds of rail")
    weak = ampacity(four(), "0.25 A", "strings.rail.lead.cable")
    assert mend(weak).startswith("Feed rail again with cut: true and put a fuse into both, or replace thin by one for")


def test_the_fuses_that_a_mend_puts_in_bring_no_finding_of_their_own() -> None:
    for weak in ("strings.rail.lead.cable", "kinds.float.pigtail.cable", "strings.rail.span.cable"):
        display = ampacity(four({}), "4 A", weak)
        (found,) = (f for f in power_findings(display) if f.code == "no-fuse")
        rating = found.mend.removeprefix("Put a fuse of ").split(" A")[0]
        display = changed(display, "strings.rail.fuse", f"{rating} A")
        assert codes(changed(display, "strings.rail.feeds.0.fuse", f"{rating} A")) == set()
