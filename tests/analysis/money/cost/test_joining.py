"""Spliced against plugged: money, minutes, joints and volts, each worked out by hand; and plugs that do not fit."""

import math
from typing import Any

import pytest

from hollowglow.analysis.money.cost import Joining, judge
from hollowglow.jobs.start.parts import list_parts
from tests.analysis.money.cost.hand import FOOT_M, LABOUR, build_of, cost_of, counted, eight, plan_of

PER_PROP_A = 3 * 0.020
GAPS = 7


def ladder_drop_v(span_ohm: float) -> float:
    """Volts lost to the eighth prop in seven spans: span k carries the 8 - k props behind it, there and back."""
    return math.fsum(2 * (8 - k) * PER_PROP_A * span_ohm for k in range(1, 8))


def both(data: dict[str, Any]) -> Joining:
    (made,) = cost_of(data).joining
    return made


def across_v(data: dict[str, Any]) -> list[float]:
    return [float(v) for v in plan_of(data).power.across_v]


SPLICED = {"cable": "thin", "length": "3 ft", "joint": "twist"}
PLUGGED = {"extension": "ready"}


def test_a_spliced_string_with_its_plugged_counterpart() -> None:
    made = both(eight(SPLICED))
    metres = 3 * FOOT_M
    assert (made.spliced.as_stated, made.plugged.as_stated) == (True, False)
    assert made.spliced.parts == ("twist", "thin")
    assert made.spliced.cost == pytest.approx(GAPS * metres * 0.50 + 2 * GAPS * 0.40, abs=0.005)
    assert made.spliced.minutes == pytest.approx((GAPS * LABOUR["cut_piece"] + 2 * GAPS * LABOUR["splice"]) / 60)
    assert made.spliced.joints == 2 * GAPS
    assert made.spliced.drop_v == pytest.approx(ladder_drop_v(metres * 0.03 + 2 * 0.002), abs=1e-9)
    # The shortest extension of the same cable that reaches is the metre.
    assert made.plugged.parts == ("pair", "ready")
    assert made.plugged.cost == pytest.approx(GAPS * 2.35 + GAPS * 1.10, abs=0.005)
    assert made.plugged.minutes == pytest.approx(2 * GAPS * (LABOUR["fit_plug"] + LABOUR["plug"]) / 60)
    assert made.plugged.joints == 2 * GAPS
    assert made.plugged.drop_v == pytest.approx(ladder_drop_v(1.0 * 0.03 + 2 * 0.006), abs=1e-9)


def test_a_plugged_string_with_its_spliced_counterpart() -> None:
    made = both(eight(PLUGGED))
    assert (made.spliced.as_stated, made.plugged.as_stated) == (False, True)
    assert made.plugged.drop_v == pytest.approx(ladder_drop_v(1.0 * 0.03 + 2 * 0.006), abs=1e-9)
    # Soldered instead, with the catalogue's splice of 1 milliohm and 0.45.
    assert made.spliced.parts == ("splice-solder", "thin")
    assert made.spliced.drop_v == pytest.approx(ladder_drop_v(1.0 * 0.03 + 2 * 0.001), abs=1e-9)
    assert made.spliced.cost == pytest.approx(GAPS * 0.50 + 2 * GAPS * 0.45, abs=0.005)


def test_plugs_wired_to_cable_by_the_metre() -> None:
    made = both(eight({"cable": "thin", "length": "3 ft", "joint": "pair"}))
    metres = 3 * FOOT_M
    assert made.plugged.as_stated
    assert made.plugged.parts == ("pair", "thin")
    assert made.plugged.cost == pytest.approx(GAPS * metres * 0.50 + 2 * GAPS * 1.10, abs=0.005)
    seconds = GAPS * LABOUR["cut_piece"] + 4 * GAPS * LABOUR["fit_plug"] + 2 * GAPS * LABOUR["plug"]
    assert made.plugged.minutes == pytest.approx(seconds / 60)
    assert made.plugged.drop_v == pytest.approx(ladder_drop_v(metres * 0.03 + 2 * 0.006), abs=1e-9)


@pytest.mark.parametrize(("stated", "way"), [(SPLICED, "spliced"), (PLUGGED, "plugged")])
def test_the_volts_of_the_way_as_drawn_are_those_of_the_solved_circuit(stated: dict[str, Any], way: str) -> None:
    data = eight(stated)
    v = across_v(data)
    assert getattr(both(data), way).drop_v == pytest.approx(v[0] - v[-1], abs=1e-9)


def test_the_volts_of_the_other_way_are_those_of_the_display_redrawn() -> None:
    v = across_v(eight(PLUGGED))
    assert both(eight(SPLICED)).plugged.drop_v == pytest.approx(v[0] - v[-1], abs=1e-9)


def test_terminals_take_the_time_of_terminals() -> None:
    made = both(eight({"cable": "thin", "length": "3 ft", "joint": "screw"}))
    assert made.spliced.minutes == pytest.approx((GAPS * LABOUR["cut_piece"] + 2 * GAPS * LABOUR["terminal"]) / 60)


def test_spans_without_a_joint_are_neither_way() -> None:
    made = both(eight({"cable": "thin", "length": "3 ft"}))
    assert not made.spliced.as_stated
    assert not made.plugged.as_stated


def test_a_cost_with_an_unknown_price_is_unknown() -> None:
    data = eight(SPLICED)
    data["parts"] = data["parts"] | {"thin": {"cable": {"resistance": "0.03 ohm/m"}}}
    made = both(data)
    assert made.spliced.cost is None
    assert made.plugged.cost is not None


def test_without_an_extension_long_enough_plugs_are_wired_to_the_cable() -> None:
    made = both(eight({"cable": "thin", "length": "30 m", "joint": "twist"}))
    assert made.plugged.parts == ("plug-3pin-18awg", "thin")
    assert made.plugged.drop_v == pytest.approx(ladder_drop_v(30 * 0.03 + 2 * 0.006), abs=1e-9)


def test_the_drip_loop_is_part_of_what_an_extension_must_reach() -> None:
    # 3 ft are 0.91 m; with a drip loop of 100 mm the one-metre extension is too short.
    made = both(eight(SPLICED, drip_loop="100 mm"))
    assert made.plugged.parts[1] != "ready"


def test_a_string_of_one_prop_has_nothing_to_join() -> None:
    data = eight(SPLICED)
    data["strings"]["rail"]["props"] = "1 * ball"
    assert cost_of(data).joining == ()


def test_flexibility_is_bought_common_practice_no_source() -> None:
    """Strings of eight: spliced spans of 6 ft, or plugged extensions of 10 ft (common practice, no source)."""
    span = {"cable": "cable-3x18awg", "length": "6 ft", "joint": "splice-solder"}
    made = both(eight(span))
    long = both(eight({"extension": "extension-18awg-10ft"}))
    prices = {line.name: line.price for line in list_parts()}
    named = ("splice-solder", "plug-3pin-18awg", "cable-3x18awg", "extension-18awg-10ft")
    solder, plug, per_m, ten_feet = (float(prices[name] or 0.0) for name in named)
    assert made.spliced.cost == pytest.approx(GAPS * 6 * FOOT_M * per_m + 2 * GAPS * solder, abs=0.005)
    assert long.plugged.cost == pytest.approx(GAPS * (ten_feet + plug), abs=0.005)
    assert long.plugged.cost is not None
    assert made.spliced.cost is not None
    assert long.plugged.cost > 1.5 * made.spliced.cost
    # Of 18 AWG stranded (ASTM B258, IACS copper, 2 % for stranding) a metre has 21.4 milliohm.
    per_m_ohm = 1.02 * (1e-6 / 58) / (math.pi / 4 * (0.127e-3 * 92 ** (18 / 39)) ** 2)
    assert made.spliced.drop_v == pytest.approx(ladder_drop_v(6 * FOOT_M * per_m_ohm + 2 * 0.001), rel=1e-6)
    assert long.plugged.drop_v == pytest.approx(ladder_drop_v(10 * FOOT_M * per_m_ohm + 2 * 0.006), rel=1e-6)
    assert made.spliced.joints == long.plugged.joints == 14


ROUND = {"cable": "thin", "length": "150 mm", "plug": "pair"}
SMALL = {"price": 1, "joint": {"resistance": "6 mohm", "sort": "plug", "mating": "small"}}


def with_pigtail(pigtail: dict[str, Any], span: dict[str, Any], **lead: str) -> list[tuple[tuple[str, ...], str, str]]:
    data = eight(span)
    data["parts"] = data["parts"] | {"mini": SMALL}
    data["kinds"]["ball"]["pigtail"] = pigtail
    data["strings"]["rail"]["lead"] |= lead
    return [(f.where, f.message, f.mend) for f in judge(build_of(data))]


def test_plugs_that_fit_are_no_finding() -> None:
    assert with_pigtail(ROUND, PLUGGED) == []
    assert with_pigtail(ROUND, {"cable": "thin", "length": "1 m", "joint": "pair"}, joint="pair") == []
    assert list(judge(build_of(counted()))) == []


def test_an_extension_with_another_plug_is_told_with_both_ways_out() -> None:
    assert with_pigtail(ROUND | {"plug": "mini"}, PLUGGED) == [
        (
            ("rail", "ball"),
            "ball has pigtails with mini (small); the spans of rail have pair (round).",
            "Give the spans of rail joint: mini, or ball a pigtail with the spans' plug.",
        )
    ]


def test_a_splice_or_nothing_where_the_prop_has_a_plug_is_told() -> None:
    ((where, message, _),) = with_pigtail(ROUND, SPLICED)
    assert where == ("rail", "ball")
    assert message == "ball has pigtails with pair (round); the spans of rail have twist (splice)."
    ((_, message, _),) = with_pigtail(ROUND, {"cable": "thin", "length": "1 m"})
    assert message == "ball has pigtails with pair (round); the spans of rail have no joint at all."


def test_the_plug_of_the_lead_must_fit_the_first_prop() -> None:
    ((where, message, mend),) = with_pigtail(ROUND, PLUGGED, joint="mini")
    assert where == ("rail/lead/joint", "ball")
    assert message == "ball, prop 1 of rail, has a pigtail with pair (round); the lead has mini (small)."
    assert mend == "Give the lead of rail joint: pair, or ball a pigtail with the lead's plug."


def test_only_the_kind_that_does_not_fit_is_named() -> None:
    data = eight(PLUGGED)
    data["parts"] = data["parts"] | {"mini": SMALL}
    data["kinds"] = {
        "ball": {"fill": {"light": "lamp"}, "pigtail": ROUND},
        "star": {"fill": {"light": "lamp"}, "pigtail": ROUND | {"plug": "mini"}},
    }
    data["strings"]["rail"]["props"] = ["ball", "2 * star", "ball"]
    assert [f.where for f in judge(build_of(data))] == [("rail", "star")]
