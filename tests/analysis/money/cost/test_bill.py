"""The bill and the cut list of a small display equal a count by hand."""

import json
import math
from typing import Any, NamedTuple

import numpy as np
import pytest

from hollowglow.analysis.money.cost import Bill, cut_list
from hollowglow.analysis.money.cost.bill import bill, bill_words
from hollowglow.assembly import Assembly, expand
from hollowglow.file import load_text
from hollowglow.jobs.start.parts import list_parts
from tests.analysis.money.cost.hand import build_of, cost_of, counted
from tests.outside.displays import dump, random_display


class Piece(NamedTuple):
    id: str
    use: str
    part: str
    length_m: float
    drip_loop_m: float


def pieces_of(assembly: Assembly) -> list[Piece]:
    cut = cut_list(assembly)
    lengths, loops = cut.length_m.tolist(), cut.drip_loop_m.tolist()
    return [Piece(*row) for row in zip(cut.id, cut.use, cut.part, lengths, loops, strict=True)]


# Of the display's own numbers: 4 + 3 props with 3 lights, 2 glands, 1 hook each; 2 wires inside each prop.
PROPS = 4 + 3
THIN_M = PROPS * 2 * 0.080 + PROPS * 2 * 0.150 + 3 * (1.5 + 0.050)
THICK_M = (3 + 0.050) + (5 + 0.050) + (2 + 0.050)
QUANTITIES = {
    ("shell of ball", "piece"): PROPS,
    ("lamp", "piece"): PROPS * 3,
    ("nut", "piece"): PROPS * 2,
    ("loop", "piece"): PROPS,
    ("thin", "m"): THIN_M,
    ("thick", "m"): THICK_M,
    ("ready", "piece"): 2,
    ("twist", "piece"): 3 * 2,
    ("screw", "piece"): 1,
    # One pair at the lead; at the two extensions four halves on the props' side, which are two pairs; at the last
    # ball its own half and the other half as its cap.
    ("pair", "piece"): 1 + 2 + 1,
    # Three cores end at the last ball of the spliced rail.
    ("heat-shrink-adhesive", "piece"): 3,
    ("fuse 3 A", "piece"): 1,
    ("melt", "piece"): 1,
    ("supply shed", "piece"): 1,
    ("controller box", "piece"): 1,
}
PRICES = {
    "shell of ball": 2.0,
    "lamp": 0.30,
    "nut": 0.35,
    "loop": 0.20,
    "thin": 0.50,
    "thick": 1.00,
    "ready": 2.35,
    "twist": 0.40,
    "screw": 0.70,
    "pair": 1.10,
    "heat-shrink-adhesive": 0.15,
    "melt": 0.25,
    "supply shed": 30.0,
    "controller box": 90.0,
}


def made() -> Bill:
    return bill(build_of(counted()))


def test_every_part_is_counted() -> None:
    found = {(line.part, line.unit): line.quantity for line in made().lines}
    assert found == pytest.approx(QUANTITIES, abs=1e-9)


def test_prices_are_those_of_the_parts_and_totals_add_up() -> None:
    made_bill = made()
    assert {line.part: line.price for line in made_bill.lines if line.price is not None} == PRICES
    for line in made_bill.lines:
        if line.price is None:
            assert line.total is None
        else:
            assert line.total == pytest.approx(line.price * line.quantity, abs=0.005)
    by_hand = sum(QUANTITIES[part, unit] * PRICES[part] for part, unit in QUANTITIES if part in PRICES)
    assert made_bill.total == pytest.approx(by_hand, abs=0.05)
    assert made_bill.total == pytest.approx(sum(line.total or 0.0 for line in made_bill.lines), abs=1e-9)
    assert made_bill.currency == "EUR"


def test_parts_without_a_price_are_named_and_left_out_of_the_total() -> None:
    data = counted()
    del data["supplies"]["shed"]["price"]
    with_price = made()
    without = bill(build_of(data))
    assert with_price.unpriced == ("fuse 3 A",)
    assert without.unpriced == ("fuse 3 A", "supply shed")
    assert without.total == pytest.approx(with_price.total - 30.0, abs=1e-9)


def test_a_price_of_zero_is_a_price() -> None:
    data = counted()
    data["supplies"]["shed"]["price"] = 0
    made_bill = bill(build_of(data))
    assert "supply shed" not in made_bill.unpriced
    assert next(line.total for line in made_bill.lines if line.part == "supply shed") == 0.0


def test_a_supply_from_the_catalogue_is_billed_as_that_part_unless_it_has_a_price_of_its_own() -> None:
    data = counted()
    data["supplies"] = {"shed": {"part": "supply-12v-150w"}, "barn": {"part": "supply-12v-150w", "price": 12}}
    quantities = {line.part: (line.quantity, line.price) for line in bill(build_of(data)).lines}
    assert quantities["supply-12v-150w"][0] == 1
    assert quantities["supply barn"] == (1, 12.0)
    assert "supply shed" not in quantities


def test_a_part_that_bears_the_name_of_a_supply_stays_a_line_of_its_own() -> None:
    data = json.loads(json.dumps(counted()).replace('"pair"', '"supply shed"'))
    data["parts"]["supply shed"]["about"] = "a pair of plugs"
    assembly = build_of(data)
    lines = [line for line in bill(assembly).lines if line.part == "supply shed"]
    assert {(line.quantity, line.price) for line in lines} == {(QUANTITIES["pair", "piece"], 1.10), (1, 30.0)}
    assert [bill_words(assembly, line) for line in lines if line.price == 30.0] == ["supply"]
    assert [bill_words(assembly, line) for line in lines if line.price == 1.10] == [None]


def test_the_cut_list_has_every_piece_with_its_label_and_length() -> None:
    pieces = {p.id: p for p in pieces_of(build_of(counted()))}
    rail = 1 + 4 * (2 + 2) + 3 + 1  # lead; two pigtails and two wires a prop; spans; the feed
    gable = 1 + 3 * (2 + 2)  # its spans are bought ready-made
    assert len(pieces) == rail + gable
    expected = {
        "rail/lead": ("lead", "thick", 3.05, 0.05),
        "rail/prop01/in": ("pigtail in", "thin", 0.15, 0.0),
        "rail/prop01/wire1": ("inner wire", "thin", 0.08, 0.0),
        "rail/prop01/wire2": ("inner wire", "thin", 0.08, 0.0),
        "rail/prop04/out": ("pigtail out", "thin", 0.15, 0.0),
        "rail/span01": ("span", "thin", 1.55, 0.05),
        "rail/span03": ("span", "thin", 1.55, 0.05),
        "rail/feed03": ("feed", "thick", 5.05, 0.05),
        "gable/lead": ("lead", "thick", 2.05, 0.05),
    }
    for label, (use, part, length, loop) in expected.items():
        piece = pieces[label]
        assert (piece.use, piece.part) == (use, part)
        assert piece.length_m == pytest.approx(length, abs=1e-12)
        assert piece.drip_loop_m == loop
    assert not any(label.startswith("gable/span") for label in pieces)


def test_spans_of_different_lengths_are_cut_to_their_own() -> None:
    data = counted()
    data["strings"]["rail"]["span"]["length"] = ["1 m", "6 ft", "5 ft 6 in"]
    pieces = {p.id: p.length_m for p in pieces_of(build_of(data))}
    assert [pieces[f"rail/span0{i}"] for i in (1, 2, 3)] == pytest.approx(
        [1.05, 6 * 0.3048 + 0.05, 5.5 * 0.3048 + 0.05]
    )


def test_cable_on_the_bill_is_what_the_cut_list_adds_up_to() -> None:
    assembly = build_of(counted())
    for part, metres in (("thin", THIN_M), ("thick", THICK_M)):
        assert math.fsum(p.length_m for p in pieces_of(assembly) if p.part == part) == pytest.approx(metres, abs=1e-9)


@pytest.mark.parametrize("seed", range(6))
def test_bill_and_cut_list_agree_for_any_display(seed: int) -> None:
    assembly = expand(load_text(dump(random_display(seed))))
    made_bill = bill(assembly)
    billed = {line.part: line.quantity for line in made_bill.lines if line.unit == "m"}
    cut: dict[str, float] = {}
    for piece in pieces_of(assembly):
        cut[piece.part] = cut.get(piece.part, 0.0) + piece.length_m
    assert billed == pytest.approx(cut, abs=1e-3)
    nodes = sum(line.quantity for line in made_bill.lines if line.part in assembly.kinds.lights)
    assert nodes == len(assembly.nodes.prop)
    assert made_bill.total == pytest.approx(math.fsum(line.total or 0.0 for line in made_bill.lines), abs=0.005)


def amounts(data: dict[str, Any]) -> dict[str, float]:
    return {line.part: line.quantity for line in bill(build_of(data)).lines}


SLEEVE = "heat-shrink-adhesive"


def test_each_string_has_one_far_end_however_long_it_is() -> None:
    data = counted()
    short, long = amounts(data), counted()
    long["strings"]["gable"]["props"] = "5 * ball"
    long["strings"]["rail"]["props"] = "9 * ball"
    longer = amounts(long)
    assert longer["pair"] - short["pair"] == 2  # two more extensions
    assert longer["twist"] - short["twist"] == 2 * 5
    assert longer[SLEEVE] == short[SLEEVE] == 3


def test_a_bare_end_is_sealed_core_by_core_whatever_joins_the_spans() -> None:
    data = counted()
    del data["strings"]["gable"]
    data["parts"] = data["parts"] | {"thin": {"price": 0.5, "cable": {"resistance": "0.03 ohm/m", "cores": 4}}}
    for joint in ("twist", "screw", None):
        data["strings"]["rail"]["span"]["joint"] = joint
        assert amounts(data)[SLEEVE] == 4
        assert "pair" not in amounts(data)


def test_a_prop_without_pigtails_leaves_no_end_to_seal() -> None:
    data = counted()
    del data["strings"]["gable"], data["kinds"]["ball"]["pigtail"]
    assert SLEEVE not in amounts(data)


def test_plugs_on_cable_by_the_metre_end_in_a_plug_as_well() -> None:
    data = counted()
    del data["strings"]["gable"]
    data["strings"]["rail"]["span"]["joint"] = "pair"
    assert amounts(data)["pair"] == 3 * 2 + 1
    assert SLEEVE not in amounts(data)


def test_a_single_prop_ends_in_the_plug_that_its_pigtails_have() -> None:
    data = counted()
    del data["strings"]["rail"]
    data["strings"]["gable"]["props"] = "1 * ball"
    assert (amounts(data)["pair"], amounts(data)[SLEEVE]) == (1, 3)  # the lead's alone, and a bare end
    data["kinds"]["ball"]["pigtail"]["plug"] = "pair"
    assert amounts(data)["pair"] == 1 + 1
    assert SLEEVE not in amounts(data)


def test_the_sleeve_is_the_catalogue_s_where_the_file_has_none_of_its_own() -> None:
    data = counted()
    data["parts"] = {name: part for name, part in data["parts"].items() if name != SLEEVE}
    price = next(line.price for line in list_parts() if line.name == SLEEVE)
    assert {line.part: line.price for line in bill(build_of(data)).lines}[SLEEVE] == price


def test_a_display_without_strings_costs_what_stands_in_the_cabinet() -> None:
    data = counted() | {"strings": {}}
    lines = {line.part: line.total for line in bill(build_of(data)).lines}
    assert lines == {"supply shed": 30.0, "controller box": 90.0}


def test_money_for_work_is_minutes_times_the_stated_hour() -> None:
    cost = cost_of(counted())
    assert cost.work == pytest.approx(cost.minutes / 60.0 * 20.0, abs=0.005)
    free = counted()
    del free["labour"]["hour"]
    assert cost_of(free).work == 0.0
    assert np.isfinite(cost.minutes)
