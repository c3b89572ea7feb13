"""Masses before and after, the hook's load, and the steps: sums by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hollowglow.analysis.money.cost.labour import minutes_per_prop
from hollowglow.analysis.prop.making.mass import CELL_KG, CELL_M, GRAVITY_M_S2, SWING_FACTOR
from hollowglow.assembly.tables import Assembly
from hollowglow.messages.told import phrase
from hollowglow.quantity.reader import METRIC, US
from tests.analysis.prop.making.samples import BALL, CRATE, DISC, DRUM, build_of, codes, made

FULL = {
    "shell": {**BALL, "batteries": "3 * AA", "switch": {"diameter": "12 mm", "sealed": True}, "boss": "3 mm"},
    "carrier": DISC,
    "fill": {"light": "lamp", "count": 4, "wiring": {"cable": "wire", "length": "80 mm"}},
    "pigtail": {"cable": "wire", "length": "150 mm"},
    "gland": {"part": "nut", "count": 2},
    "hook": "steel",
}


# IEC 60086-2: R6 at most 14.5 x 50.5 mm, R03 at most 10.5 x 44.5 mm.
def test_cells_have_the_size_of_their_standard() -> None:
    assert CELL_M == {"AA": (0.0145, 0.0505), "AAA": (0.0105, 0.0445)}
    assert CELL_KG == {"AA": 0.023, "AAA": 0.0115}


def test_a_prop_before_and_after() -> None:
    weight = made(FULL).weight
    # Before: 100 g and three cells of 23 g. After: 100 + 12 (disc) + 4 x 4 (lights) + 3 x 0.08 x 50 (wires)
    # + 2 x 0.15 x 50 (pigtails) + 2 x 6 (glands) + 8 (hook).
    assert weight.before_kg == pytest.approx(0.169)
    assert weight.after_kg == pytest.approx(0.175)
    assert weight.gain_kg == pytest.approx(0.006)
    assert weight.load_n == pytest.approx(0.175 * 9.80665)
    assert weight.swinging_n == pytest.approx(3 * 0.175 * 9.80665)
    assert (weight.unknown_before, weight.unknown_after) == ((), ())


def test_what_has_no_stated_mass_is_named_and_not_taken_for_nothing() -> None:
    weight = made({"shell": {"shape": "sphere", "diameter": "140 mm"}, "carrier": CRATE, "hook": "loop"}).weight
    assert weight.unknown_before == ("shell",)
    assert weight.unknown_after == ("shell", "carrier")
    assert weight.after_kg == pytest.approx(0.004)


@given(st.integers(1, 12), st.integers(1, 4), st.floats(10.0, 900.0))
def test_masses_add_up(count: int, glands: int, shell: float) -> None:
    kind = {**FULL, "shell": {**BALL, "mass": f"{shell:.3f} g"}, "gland": {"part": "nut", "count": glands}}
    weight = made({**kind, "fill": {**FULL["fill"], "count": count}}).weight
    grams = round(shell, 3) + 12 + 4 * count + (count - 1) * 4 + 15 + 6 * glands + 8
    assert weight.after_kg == pytest.approx(grams / 1e3)
    assert weight.wanted_kg == pytest.approx(SWING_FACTOR * grams / 1e3)
    assert weight.load_n == pytest.approx(GRAVITY_M_S2 * grams / 1e3)


def test_hooks() -> None:
    light = {"shell": {**DRUM, "mass": "50 g", "batteries": "3 * AA"}, "hook": "loop"}
    # 54 g after, 119 g before: the loop may stay; without cells the prop has become heavier.
    assert not made(light).weight.metal_wanted
    assert "hook-weak" not in codes(light)
    heavier = {**light, "shell": {**DRUM, "mass": "50 g"}}
    assert made(heavier).weight.metal_wanted
    assert "hook-weak" in codes(heavier)
    # 3 x 104 g is more than the 300 g that the loop holds.
    over = {**light, "shell": {**DRUM, "mass": "100 g", "batteries": "3 * AA"}}
    assert made(over).weight.overloaded
    assert "hook-weak" in codes(over)
    assert "hook-weak" not in codes({**over, "hook": "steel"})
    assert "hook-weak" not in codes({k: v for k, v in over.items() if k != "hook"})


def minutes(assembly: Assembly) -> float:
    return float(minutes_per_prop(assembly)[0])


@pytest.mark.parametrize("kind", [FULL, {"shell": DRUM}, {}, {**FULL, "hook": "loop"}, {"carrier": DISC}])
def test_the_minutes_of_the_steps_are_those_of_the_cost(kind: dict[str, object]) -> None:
    steps = made(kind).steps
    assert sum(s.minutes for s in steps if s.minutes is not None) == pytest.approx(minutes(build_of(kind)))


def test_the_steps_stand_in_the_order_of_the_work() -> None:
    assert [s.name for s in made(FULL).steps] == [
        "open",
        "empty",
        "old switch",
        "mark out the carrier",
        "drill the carrier",
        "drill the cable holes",
        "make a flat seat",
        "remove the raised area",
        "fit the glands",
        "drill the drain",
        "fit and wire the lights",
        "fit the pigtails",
        "test on the bench",
        "close and seal",
        "fix the hook",
        "label",
    ]


def test_drilling_is_done_with_glasses_on_and_the_piece_clamped() -> None:
    drilled = [s for s in made(FULL).steps if s.name in ("drill the carrier", "drill the cable holes")]
    assert len(drilled) == 2
    for step in drilled:
        assert {"safety glasses", "clamp"} <= set(step.tools)
        assert "slowly" in phrase(step.how)
    bores, cables = (phrase(step.how) for step in drilled)
    assert bores.startswith("4 holes of 12.2 mm (0.48 in): drill 12 mm or 31/64 in.")
    assert cables.startswith("2 holes of 12.8 mm (0.50 in) at the base, 10.4 mm (0.41 in) from its middle: drill 13 mm")
    assert phrase(drilled[0].how, US).startswith("4 holes of 0.48 in: drill 31/64 in.")
    assert phrase(drilled[0].how, METRIC).startswith("4 holes of 12.2 mm: drill 12 mm.")


def test_a_kind_without_a_shell_has_no_holes_in_one() -> None:
    names = [s.name for s in made({"pigtail": {"cable": "wire", "length": "150 mm"}}).steps]
    assert "drill the drain" not in names
    assert "drill the cable holes" not in names
    assert "fit the pigtails" in names
