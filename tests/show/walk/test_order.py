"""The order that is named is the order of the lights that the person looked at."""

from __future__ import annotations

import itertools

import pytest

from hollowglow.messages.refusal import Refusal
from hollowglow.show.demand import AddressMap
from hollowglow.show.walk import judge, layout_of, parse_seen, solve
from hollowglow.show.walk.colours import ORDER_S, look
from hollowglow.show.walk.steps import find
from tests.show.walk.samples import Wired, plan_of, two_strings

ORDERS = ["".join(p) for p in itertools.permutations("rgb")]


@pytest.mark.parametrize("told", ORDERS)
def test_for_every_order_of_controller_and_lights_the_true_one_is_named(told: str) -> None:
    display = two_strings()
    display["controllers"]["box"]["orders"] = {1: told}
    plan = plan_of(display)
    layout, addresses = layout_of(plan), AddressMap.of(plan.assembly)
    step, string = find(layout, "order rail/prop01"), layout.strings[0]
    assert string.order == told
    frames = [addresses.frame(look(layout, step, (i + 0.5) * ORDER_S)) for i in range(4)]
    for true in ORDERS:
        wired = Wired(plan, true_order=true, told=told)
        seen = "".join(wired.shown(frame)[0] for frame in frames)
        assert solve(seen, string.order) == true
        found = judge(seen, string.order, string.output, string.light)
        assert found.right == (true == told)
        if not found.right:
            assert found.order == true
            assert f"tell the controller {true.upper()}" in found.says


def test_the_wrong_order_is_named_in_words() -> None:
    found = judge("grbw", "rgb", "box/1", "bullet-12mm-12v")
    assert found.says == (
        "the lights of output box/1 take green first, in the order green, red and blue: tell the controller GRB, "
        "and write `order: grb` at the light bullet-12mm-12v"
    )


@pytest.mark.parametrize("told", ["rgbw", "grbw", "wrgb"])
def test_the_place_of_a_fourth_colour_is_what_the_other_three_leave(told: str) -> None:
    for true in ("".join(p) for p in itertools.permutations("rgbw")):
        # Byte k carries the slot of told[k] and lights true[k]; with every slot on, it is white.
        seen = "".join(true[told.index(c)] for c in "rgb") + "w"
        assert solve(seen, told) == true
        assert judge(seen, told, "box/1", "lamp").right == (true == told)


def test_white_in_place_of_a_colour_is_no_order_of_lights_of_three_colours() -> None:
    assert solve("wgbw", "rgb") is None


@pytest.mark.parametrize(
    ("seen", "missing", "says"),
    [
        ("rg-y", "b", "blue is missing: its LED or its wire in the light is broken"),
        ("-gbc", "r", "red is missing"),
        ("g-bm", "r", "red is missing"),  # the order is wrong too, and red never lights
        ("r--r", "gb", "green and blue are missing: broken LEDs, or too little voltage"),
        ("----", "rgb", "no colour lights: no power, no data, or another address"),
        ("rgby", "", "each colour lights alone, but white lacks blue"),
        ("rrbw", "", "did not show once each (red, red and blue did)"),
        ("rgbb", "", "each colour lights alone, but white shows as blue"),
    ],
)
def test_what_is_no_change_of_order_is_named_too(seen: str, missing: str, says: str) -> None:
    found = judge(seen, "rgb", "box/1", "lamp")
    assert not found.right
    assert found.missing == missing
    assert says in found.says


@pytest.mark.parametrize(
    ("typed", "letters"),
    [
        ("grbw", "grbw"),
        ("G R B W", "grbw"),
        ("green, red, blue, white", "grbw"),
        ("rgdy", "rg-y"),
        ("dark g b c", "-gbc"),
    ],
)
def test_what_is_typed_is_read(typed: str, letters: str) -> None:
    assert parse_seen(typed) == letters


@pytest.mark.parametrize("typed", ["", "rgb", "rgbwr", "xyzw", "red"])
def test_what_is_no_report_is_told(typed: str) -> None:
    with pytest.raises(Refusal, match="expected four colours"):
        parse_seen(typed)
