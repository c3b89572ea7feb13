"""Each finding about power: its smallest display, its mended twin, its numbers, and its mend carried out."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hollowglow.analysis.circuit.power import analyse, judge
from hollowglow.analysis.circuit.power.judge import CODES
from hollowglow.messages import Finding
from hollowglow.quantity.numbers import number, rounded_down, rounded_up
from hollowglow.quantity.words import at_least, at_most
from tests.assembly.samples import CONSTANT_CURRENT, CONSTANT_POWER, RESISTOR, Stated, built, changed, planned, stated

# 12 props of 56.5 mA each: 678 mA at the lead.
PLAIN = stated()
AMPS = 12 * 0.0565
FEED = {"before": 7, "supply": "shed", "cable": "wire", "length": "2 m"}
LOFT = {"voltage": "12 V", "rating": "100 W"}


def power_findings(display: Stated) -> list[Finding]:
    assembly = built(display)
    return list(judge(assembly, analyse(assembly)))


def codes(display: Stated) -> set[str]:
    return {finding.code for finding in power_findings(display)}


def the(code: str, display: Stated) -> Finding:
    (found,) = (finding for finding in power_findings(display) if finding.code == code)
    return found


def with_part(name: str, part: Stated) -> Stated:
    return changed(PLAIN, f"parts.{name}", part)


THIN = with_part("wire", {"cable": {"resistance": "0.05 ohm/m", "ampacity": "0.6 A"}})
WEAK = changed(
    with_part("splice", {"joint": {"resistance": "5 mohm", "rating": "0.6 A"}}), "strings.rail.span.joint", "splice"
)
FUSED = changed(
    with_part("wire", {"cable": {"resistance": "0.05 ohm/m", "ampacity": "3.5 A"}}), "strings.rail.fuse", "5 A"
)
FUSED_PLUG = changed(
    changed(
        with_part("splice", {"joint": {"resistance": "5 mohm", "rating": "2.5 A"}}), "strings.rail.span.joint", "splice"
    ),
    "strings.rail.fuse",
    "3 A",
)
UNFUSED = with_part("wire", {"cable": {"resistance": "0.05 ohm/m", "ampacity": "3.5 A"}})
JOINED = changed(changed(PLAIN, "supplies.loft", LOFT), "strings.rail.feeds", [{**FEED, "supply": "loft"}])
DARK = changed(changed(PLAIN, "strings.rail.supply", None), "strings.rail.feeds", [{**FEED, "cut": True}])
LONG = stated(
    {
        **CONSTANT_CURRENT,
        "current": ["60 mA", "60 mA", "60 mA"],
        "turn_on": ["6 V", "9 V", "9.3 V"],
        "saturation": "1.8 V",
    },
    props="15 * float",
    string={"span": {"cable": "wire", "length": "1 m"}},
)
COLLAPSED = stated({**CONSTANT_POWER, "power": ["3 W", "3 W", "3 W"], "cutoff": "3 V"})
TWOFOLD = stated({**CONSTANT_POWER, "power": ["1 W", "1 W", "1 W"], "cutoff": "0.5 V"})

ADDING = stated(
    string={"fuse": "3 A", "feeds": [{**FEED, "fuse": "3 A"}]},
    parts={"wire": {"cable": {"resistance": "0.05 ohm/m", "ampacity": "4 A"}}},
)

PAIRS: dict[str, tuple[Stated, Stated]] = {
    "low-voltage": (LONG, changed(LONG, "strings.rail.span.length", "0.1 m")),
    "light-loss": (LONG, changed(LONG, "strings.rail.span.length", "0.1 m")),
    "chromaticity-shift": (LONG, changed(LONG, "strings.rail.span.length", "0.1 m")),
    "supply-load": (changed(PLAIN, "supplies.shed.rating", "10 W"), changed(PLAIN, "supplies.shed.rating", "11 W")),
    "supply-over": (changed(PLAIN, "supplies.shed.rating", "8 W"), changed(PLAIN, "supplies.shed.rating", "9 W")),
    "cable-over": (THIN, changed(THIN, "parts.wire.cable.ampacity", "0.7 A")),
    "joint-over": (WEAK, changed(WEAK, "parts.splice.joint.rating", "0.63 A")),
    "fuse-over-cable": (FUSED, changed(FUSED, "parts.wire.cable.ampacity", "5 A")),
    "fuse-over-joint": (FUSED_PLUG, changed(FUSED_PLUG, "parts.splice.joint.rating", "3 A")),
    "fuse-load": (changed(PLAIN, "strings.rail.fuse", "0.9 A"), changed(PLAIN, "strings.rail.fuse", "0.91 A")),
    "fuse-blows": (changed(PLAIN, "strings.rail.fuse", "0.67 A"), changed(PLAIN, "strings.rail.fuse", "0.68 A")),
    "fuses-add-up": (ADDING, changed(ADDING, "strings.rail.feeds.0.cut", True)),
    "no-fuse": (UNFUSED, changed(UNFUSED, "supplies.shed.rating", "42 W")),
    "no-steady-state": (COLLAPSED, changed(COLLAPSED, "levels.float", "20 %")),
    "two-steady-states": (TWOFOLD, changed(TWOFOLD, "parts.light.light.load.cutoff", "7 V")),
    "joined-supplies": (JOINED, changed(JOINED, "strings.rail.feeds.0.cut", True)),
    "no-power": (DARK, changed(DARK, "strings.rail.supply", "shed")),
}  # fmt: skip


@pytest.mark.parametrize("code", PAIRS)
def test_a_finding_stands_in_its_smallest_display_and_not_in_the_mended_twin(code: str) -> None:
    broken, mended = PAIRS[code]
    assert code in codes(broken)
    assert code not in codes(mended) or code == "no-steady-state"


def test_a_string_that_can_be_carried_at_any_instant_is_steady() -> None:
    assert "no-steady-state" not in codes(changed(COLLAPSED, "parts.light.light.load.power", ["1 W", "1 W", "1 W"]))


def test_a_plain_string_has_nothing_to_complain_of() -> None:
    assert codes(PLAIN) == set()


def test_every_code_about_power_has_its_pair() -> None:
    # What does not add up is spoilt by hand, in the test below.
    assert {code.name for code in CODES} - {"not-solved"} == set(PAIRS)


@pytest.mark.parametrize("spoilt", [{"charge_error_a": 0.01}, {"energy_error": 0.01}, {"unsolved": np.array([3])}])
def test_a_solution_that_does_not_add_up_is_never_passed_off(spoilt: dict[str, Any]) -> None:
    assembly = built(PLAIN)
    power = analyse(assembly)
    found = [f for f in judge(assembly, replace(power, mean=replace(power.mean, **spoilt))) if f.code == "not-solved"]
    assert found
    assert all(f.severity == "stop" for f in found)


def numbers(text: str) -> list[float]:
    return [float(number.replace(",", "")) for number in re.findall(r"\d[\d,]*\.?\d*", text)]


def named(pattern: str, text: str) -> float:
    match = re.search(pattern, text)
    assert match is not None, f"{pattern!r} is not in {text!r}"
    return float(match[1].replace(",", ""))


def test_the_message_about_a_supply_has_power_rating_and_share() -> None:
    found = the("supply-load", changed(PLAIN, "supplies.shed.rating", "10 W"))
    assert found.where == ("shed",)
    assert found.message == "shed delivers 8.14 W of its 10.0 W, 81 %."  # 12 V x 0.678 A


def test_the_message_about_a_cable_has_its_current_and_ampacity() -> None:
    found = the("cable-over", THIN)
    assert found.where == ("rail/lead",)
    # 678, 621.5 ... mA: the lead carries all, the first span 11 of 12 props.
    assert found.message.startswith("rail/lead (wire) carries 0.678 A and may carry 0.6 A")
    assert "2 pieces of cable of wire are over" in found.message


def test_the_message_about_a_joint_has_its_current_and_rating() -> None:
    found = the("joint-over", WEAK)
    assert found.where == ("rail/span01/joint1",)
    assert found.message.startswith("rail/span01/joint1 (splice) carries 0.622 A and may carry 0.6 A")


def test_the_message_about_a_fuse_has_its_current_share_and_rating() -> None:
    found = the("fuse-load", changed(PLAIN, "strings.rail.fuse", "0.9 A"))
    assert found.where == ("rail/fuse",)
    assert found.message == "rail/fuse carries 0.678 A, 75 % of its 0.9 A."


def test_the_message_about_a_missing_fuse_has_what_the_supply_can_deliver() -> None:
    found = the("no-fuse", UNFUSED)
    assert "shed can deliver 8.33 A into rail/lead (wire), which may carry 3.5 A" in found.message


def test_the_message_about_a_fold_has_the_fraction_at_which_it_collapses() -> None:
    found = the("no-steady-state", COLLAPSED)
    fraction = named(r"At ([\d.]+) % of full load", found.message) / 100
    # Whole string as a power of v: below the named level it stands, above it does not, to the rounding of the message.
    at = {
        f: analyse(built(changed(COLLAPSED, "levels.float", f"{100 * f!r} %")))
        for f in (fraction - 0.01, fraction + 0.01)
    }
    below, above = at.values()
    assert np.isfinite(below.across_v).all()
    assert np.isnan(above.across_v).all()
    assert found.where == ("rail", "rail/prop12/node1")


def test_the_message_about_low_voltage_has_the_worst_prop_and_what_it_needs() -> None:
    found = the("low-voltage", LONG)
    power = analyse(built(LONG))
    assert found.where == ("rail", "rail/prop15")
    assert named(r"gets ([\d.]+) V", found.message) == pytest.approx(power.coincident_v[-1], abs=0.005)
    assert named(r"needs ([\d.]+) V", found.message) == pytest.approx(9.3 + 1.8, abs=0.005)
    low = int((power.coincident_v < 11.1).sum())
    assert f"{low} of 15 props" in found.message


def test_a_limit_of_the_file_goes_before_what_the_light_needs() -> None:
    assert "low-voltage" in codes({**PLAIN, "limits": {"lowest_voltage": "11.9 V"}})
    assert "low-voltage" not in codes({**LONG, "limits": {"lowest_voltage": "1 V"}})


@pytest.mark.parametrize(
    ("key", "code", "at"),
    [("supply_load", "supply-load", AMPS * 12 / 100), ("fuse_load", "fuse-load", AMPS / 5)],
)
def test_limits_of_the_file_move_the_line(key: str, code: str, at: float) -> None:
    display = changed(PLAIN, "strings.rail.fuse", "5 A")
    assert code in codes({**display, "limits": {key: f"{100 * at - 0.1:.4f} %"}})
    assert code not in codes({**display, "limits": {key: f"{100 * at + 0.1:.4f} %"}})


def test_a_fuse_loaded_to_exactly_three_quarters_is_not_complained_of() -> None:
    constant_current = {
        "class": "constant-current",
        "current": ["100 mA"] * 3,
        "turn_on": ["1 V"] * 3,
        "saturation": "1 V",
    }
    display = stated(
        constant_current, props="10 * float", string={"lead": {"cable": "wire", "length": "10 mm"}, "fuse": "4 A"}
    )
    display = changed(display, "strings.rail.span.length", "10 mm")
    assert codes(display) == set()


def carried_out(finding: Finding, display: Stated) -> Stated:
    """The display with the first way out that the finding names, taken at its word."""
    mend, code = finding.mend, finding.code
    if code in ("supply-load", "supply-over"):
        return changed(display, "supplies.shed.rating", f"{named(r'at least ([0-9,.]+) W', mend)} W")
    if code in ("fuse-load", "fuse-blows", "fuse-over-cable", "fuse-over-joint"):
        return changed(
            display, "strings.rail.fuse", f"{named(r'a fuse of (?:at (?:least|most) )?([0-9.]+) A', mend)} A"
        )
    if code == "no-fuse":
        return changed(display, "strings.rail.fuse", f"{named(r'a fuse of (?:at most )?([0-9.]+) A', mend)} A")
    if code == "cable-over":
        return changed(display, "parts.wire.cable.ampacity", f"{named(r'at least ([0-9.]+) A', mend)} A")
    if code == "joint-over":
        return changed(display, "parts.splice.joint.rating", f"{named(r'at least ([0-9.]+) A', mend)} A")
    if code == "joined-supplies":
        assert mend.startswith("Set cut: true")
        return changed(display, "strings.rail.feeds.0.cut", True)
    if code == "no-power":
        assert "Give rail supply: shed" in mend
        return changed(display, "strings.rail.supply", "shed")
    before = int(named(r"before prop (\d+)", mend))
    feed = {"before": before, "supply": "shed", "cable": "wire", "length": "1 m"}
    return changed(display, "strings.rail.feeds", [*display["strings"]["rail"].get("feeds", []), feed])


LITERAL = [
    "supply-load",
    "supply-over",
    "cable-over",
    "joint-over",
    "fuse-over-cable",
    "fuse-over-joint",
    "fuse-load",
    "fuse-blows",
    "no-fuse",
    "joined-supplies",
    "no-power",
]


@pytest.mark.parametrize("code", LITERAL)
def test_a_mend_taken_at_its_word_removes_its_finding(code: str) -> None:
    broken = PAIRS[code][0]
    assert code not in codes(carried_out(the(code, broken), broken))


def test_a_part_replaced_as_the_mend_says_removes_the_finding() -> None:
    cable = the("fuse-over-cable", FUSED)
    ampacity = named(r"replace wire by one for at least ([\d.]+) A", cable.mend)
    assert "fuse-over-cable" not in codes(changed(FUSED, "parts.wire.cable.ampacity", f"{ampacity} A"))
    joint = the("fuse-over-joint", FUSED_PLUG)
    rating = named(r"replace splice by one for at least ([\d.]+) A", joint.mend)
    assert "fuse-over-joint" not in codes(changed(FUSED_PLUG, "parts.splice.joint.rating", f"{rating} A"))


@pytest.mark.parametrize("code", ["low-voltage", "light-loss", "chromaticity-shift"])
@pytest.mark.parametrize("load", [CONSTANT_CURRENT, RESISTOR], ids=["constant-current", "resistor"])
def test_the_feed_that_a_mend_names_gives_the_worst_prop_more_voltage_and_so_on_to_the_end(
    code: str, load: Stated
) -> None:
    display = (
        LONG
        if load is CONSTANT_CURRENT
        else stated(RESISTOR, props="30 * float", string={"span": {"cable": "wire", "length": "3 m"}})
    )
    lowest = analyse(built(display)).across_v.min()
    assert code in codes(display)
    for _ in range(12):
        findings = [finding for finding in power_findings(display) if finding.code == code]
        if not findings or "again before prop" not in findings[0].mend:
            break
        display = carried_out(findings[0], display)
        fed = analyse(built(display)).across_v.min()
        assert fed > lowest
        lowest = fed
    assert code not in codes(display)


@settings(max_examples=25)
@given(rating=st.floats(1.0, 10.0), level=st.integers(30, 100))
def test_a_supply_as_large_as_the_mend_says_is_large_enough(rating: float, level: int) -> None:
    display = changed({**PLAIN, "levels": {"float": f"{level} %"}}, "supplies.shed.rating", f"{rating!r} W")
    for finding in power_findings(display):
        mended = carried_out(finding, display)
        assert not {"supply-load", "supply-over"} & codes(mended)


@settings(max_examples=25)
@given(rating=st.floats(4.0, 10.0))
def test_levels_as_low_as_the_mend_says_relieve_the_supply(rating: float) -> None:
    display = changed(PLAIN, "supplies.shed.rating", f"{rating!r} W")
    for finding in power_findings(display):
        share = named(r"lower the levels to ([\d.]+) %", finding.mend)
        assert not {"supply-load", "supply-over"} & codes({**display, "levels": {"float": f"{share} %"}})


@settings(max_examples=25)
@given(ampacity=st.floats(0.2, 0.67))
def test_a_level_as_low_as_the_mend_says_relieves_the_cable(ampacity: float) -> None:
    display = changed(THIN, "parts.wire.cable.ampacity", f"{ampacity!r} A")
    share = named(r"lower the level to ([\d.]+) %", the("cable-over", display).mend)
    assert "cable-over" not in codes({**display, "levels": {"float": f"{share} %"}})


@settings(max_examples=25)
@given(amps=st.floats(0.1, 3.0))
def test_a_cable_for_as_much_as_the_mend_says_is_enough(amps: float) -> None:
    constant_current = {**CONSTANT_CURRENT, "current": [f"{amps / 12 / 3!r} A"] * 3, "turn_on": ["0.1 V"] * 3}
    display = stated(constant_current, parts={"wire": {"cable": {"resistance": "0.001 ohm/m", "ampacity": "0.05 A"}}})
    assert "cable-over" not in codes(carried_out(the("cable-over", display), display))


@settings(max_examples=25)
@given(ampacity=st.floats(0.11, 29.0))
def test_a_fuse_as_small_as_the_mend_says_protects_the_cable(ampacity: float) -> None:
    display = changed(changed(FUSED, "parts.wire.cable.ampacity", f"{ampacity!r} A"), "strings.rail.fuse", "30 A")
    assert "fuse-over-cable" not in codes(carried_out(the("fuse-over-cable", display), display))


@settings(max_examples=25)
@given(amps=st.floats(0.1, 60.0))
def test_a_fuse_as_large_as_the_mend_says_carries_its_load(amps: float) -> None:
    constant_current = {**CONSTANT_CURRENT, "current": [f"{amps / 12 / 3!r} A"] * 3, "turn_on": ["0.1 V"] * 3}
    display = stated(
        constant_current, string={"fuse": "0.05 A"}, parts={"wire": {"cable": {"resistance": "0.0001 ohm/m"}}}
    )
    assert not {"fuse-load", "fuse-blows"} & codes(carried_out(the("fuse-blows", display), display))


@pytest.mark.parametrize("ampacity", ["3.5 A", "10.5 A"])
def test_a_fuse_put_in_as_the_mend_says_brings_no_stop_finding_of_its_own(ampacity: str) -> None:
    display = changed(UNFUSED, "parts.wire.cable.ampacity", ampacity)
    display = changed(changed(display, "supplies.shed.rating", "400 W"), "strings.rail.span.joint", "splice")
    display = changed(display, "parts.splice.joint.rating", "2.5 A")
    assert "fuse-over-joint" not in codes(carried_out(the("no-fuse", display), display))


def test_a_light_that_needs_more_than_its_supply_has_is_not_told_to_be_fed_again() -> None:
    display = changed(PLAIN, "parts.light.light.load.turn_on", ["12 V", "12 V", "12 V"])
    found = the("low-voltage", display)
    assert "Feed rail again" not in found.mend
    assert "supply" in found.mend


def test_a_light_that_needs_exactly_what_its_supply_has_is_told_to_change_the_supply() -> None:
    # 11.4 V + 0.6 V: no cable brings 12 V from a supply of 12 V.
    display = changed(PLAIN, "parts.light.light.load.turn_on", ["11.4 V", "11.4 V", "11.4 V"])
    mend = the("low-voltage", display).mend
    assert "a supply of more than 12.00 V, or lights made for 12.00 V" in mend
    near = changed(PLAIN, "parts.light.light.load.turn_on", ["11.3 V", "11.3 V", "11.3 V"])
    assert "Feed rail again" in the("low-voltage", near).mend


def test_a_light_made_for_more_than_its_supply_has_is_told_to_change_the_supply() -> None:
    # At 12 V blue keeps (12 - 9.3) of the (14 - 9.3) V that its resistor has at 14 V.
    display = stated(RESISTOR, props="2 * float")
    display = changed(changed(display, "parts.light.light.voltage", "14 V"), "strings.rail.span.length", "1 mm")
    display = changed(display, "strings.rail.lead.length", "1 mm")
    for code in ("light-loss", "chromaticity-shift"):
        found = the(code, display)
        assert "again" not in found.mend
        voltage = named(r"a supply of at least ([\d.]+) V", found.mend)
        assert voltage == pytest.approx(14.0, abs=0.2)
        assert code not in codes(changed(display, "supplies.shed.voltage", f"{voltage} V"))


def test_a_string_that_a_feed_alone_supplies_is_fed_again_from_the_same_supply() -> None:
    display = changed(changed(LONG, "supplies.loft", LOFT), "strings.rail.supply", None)
    display = changed(display, "strings.rail.feeds", [{**FEED, "before": 1, "supply": "loft"}])
    assert "(supply: loft)" in the("low-voltage", display).mend


@given(value=st.floats(1e-3, 5e3))
def test_a_number_after_at_least_or_at_most_never_asks_too_little_or_allows_too_much(value: float) -> None:
    for least, most in ((rounded_up(value), rounded_down(value)),):
        assert most * (1 - 1e-9) <= value <= least * (1 + 1e-9)
        assert least - most <= 0.0101 * value  # one step of the third digit
        for bound in (least, most):
            assert named(r"([\d,.]+)", number(bound)) == pytest.approx(bound, rel=1e-12)


def test_numbers_after_at_least_and_at_most_are_rounded_at_the_last_shown_digit() -> None:
    assert at_least(0.67834) == "at least 0.679 A"
    assert at_most(0.67854) == "at most 0.678 A"
    assert (at_least(0.9000000000001), at_most(2.9999999999999)) == ("at least 0.9 A", "at most 3 A")
    assert at_least(0.01234) == "at least 12.4 mA"
    assert at_least(1234.2, number) == "at least 1,235"
    assert (rounded_up(0.0), rounded_down(float("inf"))) == (0.0, float("inf"))


# 10 saturated lights of 0.3 A behind short cable, 3 A at the lead and 2.7 A in the first span.
EXACT = stated(
    {"class": "constant-current", "current": ["100 mA"] * 3, "turn_on": ["1 V"] * 3, "saturation": "1 V"},
    props="10 * float",
    string={
        "lead": {"cable": "wire", "length": "10 mm"},
        "span": {"cable": "wire", "length": "10 mm", "joint": "splice"},
        "fuse": "4 A",
    },
)
LIMITS: dict[str, tuple[str, str, float]] = {
    "fuse-load": ("strings.rail.fuse", "4 A", 3.99),
    "fuse-blows": ("strings.rail.fuse", "3 A", 2.99),
    "supply-load": ("supplies.shed.rating", "45 W", 44.9),
    "supply-over": ("supplies.shed.rating", "36 W", 35.9),
    "cable-over": ("parts.wire.cable.ampacity", "3 A", 2.99),
    "fuse-over-cable": ("parts.wire.cable.ampacity", "4 A", 3.99),
    "joint-over": ("parts.splice.joint.rating", "2.7 A", 2.69),
    "fuse-over-joint": ("parts.splice.joint.rating", "4 A", 3.99),
}


@pytest.mark.parametrize("code", LIMITS)
def test_what_meets_its_limit_exactly_is_not_complained_of(code: str) -> None:
    path, exact, less = LIMITS[code]
    assert code not in codes(changed(EXACT, path, exact))
    assert code in codes(changed(EXACT, path, f"{less} {exact.split()[1]}"))


@pytest.mark.parametrize("ampacity", [3.0, 5.0, 9.0])
def test_no_fuse_is_asked_for_where_the_supply_delivers_exactly_what_its_cable_may_carry(ampacity: float) -> None:
    display = changed(changed(EXACT, "strings.rail.fuse", None), "parts.wire.cable.ampacity", f"{ampacity} A")
    assert "no-fuse" not in codes(changed(display, "supplies.shed.rating", f"{12 * ampacity} W"))


def relieved(code: str, display: Stated) -> int | None:
    """The level that the finding names, after seeing that it mends it; None where it names none."""
    match = re.search(r"lower the levels? to (\d+) % of today's", the(code, display).mend)
    if match is None:
        return None
    level = int(match[1])
    today = float(display.get("levels", {}).get("float", "100 %").removesuffix(" %"))
    assert code not in codes({**display, "levels": {"float": f"{level * today / 100} %"}})
    return level


@settings(max_examples=20)
@given(rating=st.floats(2.0, 9.9), metres=st.floats(0.1, 2.0), today=st.integers(40, 100))
@pytest.mark.parametrize(
    "load",
    [RESISTOR, {**CONSTANT_POWER, "idle": "3 mA"}, {**CONSTANT_CURRENT, "idle": "8 mA"}],
    ids=lambda x: x["class"],
)
def test_no_level_of_a_supply_mend_leaves_its_finding(load: Stated, rating: float, metres: float, today: int) -> None:
    display = stated(load, supply={"rating": f"{rating!r} W", "resistance": "0.1 ohm"})
    display = changed({**display, "levels": {"float": f"{today} %"}}, "strings.rail.span.length", f"{metres!r} m")
    for code in {"supply-load", "supply-over"} & codes(display):
        relieved(code, display)


@settings(max_examples=20)
@given(ampacity=st.floats(0.1, 0.6), fed=st.booleans())
@pytest.mark.parametrize(
    "load", [RESISTOR, CONSTANT_POWER, {**CONSTANT_CURRENT, "idle": "8 mA"}], ids=lambda x: x["class"]
)
def test_no_level_of_a_cable_mend_leaves_its_finding(load: Stated, ampacity: float, fed: bool) -> None:
    display = stated(load, string={"feeds": [FEED]} if fed else {})
    display = changed(display, "parts.wire.cable.ampacity", f"{ampacity!r} A")
    if "cable-over" in codes(display):
        relieved("cable-over", display)


def test_levels_are_named_where_they_can_be_and_only_there() -> None:
    # Idle 12 x 1 mA = 0.144 W stay: (0.8 x 9 W - 0.144 W) / (12 V x 0.666 A) = 0.8829.
    assert relieved("supply-load", changed(PLAIN, "supplies.shed.rating", "9 W")) == 88
    thirsty = changed(PLAIN, "parts.light.light.load.idle", "50 mA")
    assert relieved("supply-over", changed(thirsty, "supplies.shed.rating", "8.9 W")) is None
    # A resistor light draws more where others dim: a lower level than in proportion.
    dim = stated(RESISTOR, props="12 * float", supply={"rating": "8 W"})
    assembly = built(dim)
    share = 0.8 * 8 / (12 * float(analyse(assembly).mean.supply_a[0]))
    level = relieved("supply-over", dim)
    assert level is not None
    assert level < int(100 * share)
    # Between two feeds nothing is named for lights whose current changes with the voltage.
    assert relieved("cable-over", changed(stated(RESISTOR, string={"feeds": [FEED]}), *HALF_AMP)) is None
    assert relieved("cable-over", changed(stated(CONSTANT_CURRENT, string={"feeds": [FEED]}), *HALF_AMP)) is not None


HALF_AMP = ("parts.wire.cable.ampacity", "0.3 A")


def test_a_loaded_fuse_is_not_made_bigger_than_what_is_behind_it_carries() -> None:
    loaded = changed(PLAIN, "strings.rail.fuse", "0.8 A")
    assert the("fuse-load", loaded).mend == "Use a fuse of 1 A."
    weak = changed(loaded, "parts.wire.cable.ampacity", "0.9 A")
    mend = the("fuse-load", weak).mend
    assert mend.startswith(
        "Feed rail again with cut: true, so that less flows through this fuse, or replace wire by one"
    )
    rating = named(r"for at least ([\d.]+) A", mend)
    better = changed(changed(weak, "parts.wire.cable.ampacity", f"{rating} A"), "strings.rail.fuse", f"{rating} A")
    assert codes(better) == set()
    joint = changed(changed(weak, "parts.wire.cable.ampacity", "2 A"), "strings.rail.span.joint", "splice")
    assert "replace splice by one" in the("fuse-load", changed(joint, "parts.splice.joint.rating", "0.9 A")).mend


def test_a_loaded_fuse_is_not_made_bigger_than_its_neighbours_leave_room_for() -> None:
    # 1 A at the lead and 1 A at the feed would be more than the 1.6 A of the cable, each alone is not.
    display = stated(string={"fuse": "0.3 A", "feeds": [{**FEED, "fuse": "1 A"}]})
    display = changed(display, "parts.wire.cable.ampacity", "1.6 A")
    (found,) = (f for f in power_findings(display) if f.code in ("fuse-load", "fuse-blows"))
    assert found.where == ("rail/fuse",)
    assert found.mend.startswith("Feed rail again with cut: true")
    assert "together" in found.mend


def test_a_fuse_too_big_is_held_against_cable_and_joints_in_its_mend() -> None:
    display = changed(changed(FUSED, "strings.rail.span.joint", "splice"), "parts.splice.joint.rating", "2.5 A")
    for code in ("fuse-over-cable", "fuse-over-joint"):
        assert "Use a fuse of 2 A," in the(code, display).mend
    starved = the("fuse-over-cable", changed(display, "parts.wire.cable.ampacity", "0.8 A"))
    assert "too small for what flows here" in starved.mend


def test_every_part_that_is_too_weak_for_a_fuse_is_named_in_its_mend() -> None:
    display = changed(FUSED, "parts.thin", {"cable": {"resistance": "0.05 ohm/m", "ampacity": "4 A"}})
    found = the("fuse-over-cable", changed(display, "strings.rail.span.cable", "thin"))
    assert "replace wire and thin by ones for at least 5 A" in found.mend


def test_findings_are_judged_alike_at_each_string() -> None:
    display = changed(LONG, "strings.gable", {**LONG["strings"]["rail"], "output": "box/2"})
    by_string: dict[str, list[str]] = {"rail": [], "gable": []}
    for finding in power_findings(display):
        if finding.where[0] in by_string:
            by_string[finding.where[0]].append(finding.code)
    assert by_string["rail"] == by_string["gable"] != []


def test_a_dark_light_is_not_told_to_be_dim() -> None:
    # Props without V+ are told once, as such.
    found = [finding.code for finding in power_findings(changed(PLAIN, "strings.rail.supply", None))]
    assert found == ["no-power"]


def test_a_kind_at_level_zero_is_not_told_to_be_dim() -> None:
    assert not {"low-voltage", "light-loss", "chromaticity-shift"} & codes({**LONG, "levels": {"float": "0 %"}})


def test_a_string_that_a_second_supply_feeds_alone_is_measured_by_that_supply() -> None:
    # 24 V resistors, fed only by the second supply: at its voltage they give all of their light.
    resistor = {**RESISTOR, "series": 6}
    display = stated(resistor, props="1 * float", supply={"voltage": "5 V"})
    display = changed(changed(display, "strings.rail.supply", None), "supplies.loft", {**LOFT, "voltage": "24 V"})
    feed = {"before": 1, "supply": "loft", "cable": "wire", "length": "10 mm"}
    power = analyse(built(changed(display, "strings.rail.feeds", [feed])))
    assert power.light[0] == pytest.approx(1.0, abs=0.01)


def test_findings_of_a_plan_stand_with_the_gravest_first() -> None:
    severities = [finding.severity for finding in planned(changed(LONG, "strings.rail.fuse", "1 A")).findings]
    assert severities == sorted(severities, key=["stop", "warn", "note"].index)
    assert len(set(severities)) > 1
