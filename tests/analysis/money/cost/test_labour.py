"""Minutes of work equal a count by hand, operation by operation."""

import pytest

from hollowglow.analysis.money.cost.labour import operations
from hollowglow.file.model.display import Labour
from tests.analysis.money.cost.hand import LABOUR, build_of, cost_of, counted

# Four and three props with three lights, two glands, two pigtails and a hook each.
# Pieces to cut: lead, 4 x (2 pigtails + 2 wires), 3 spans, 1 feed; lead, 3 x (2 + 2), no spans: bought.
# Plug joints: the lead of gable and two at each of its two extensions. Five joints have ten halves; the
# extensions bring two each. The last ball of gable has one more half, with the other half put on as its cap; the
# last ball of rail has a bare end.
BY_HAND = {
    "open a shell": (7, "open_shell"),
    "fit a light": (21, "fit_light"),
    "fit a gland": (14, "fit_gland"),
    "fit a pigtail": (14, "fit_pigtail"),
    "fit a hook": (7, "fit_hook"),
    "close and test a prop": (7, "close_and_test"),
    "cut and strip a piece of cable": ((1 + 16 + 3 + 1) + (1 + 12), "cut_piece"),
    "make a splice": (6, "splice"),
    "make a terminal": (1, "terminal"),
    "wire a plug": (10 - 4 + 1, "fit_plug"),
    "plug together": (5 + 1, "plug"),
    "seal a bare cable end": (1, "seal_end"),
    "fit a fuse": (2, "fit_fuse"),
    "hang a prop": (7, "hang_prop"),
    "run a feed": (1, "run_feed"),
}


def test_every_operation_is_counted_and_timed() -> None:
    found = operations(build_of(counted()))
    assert {o.name: o.count for o in found} == {name: n for name, (n, _) in BY_HAND.items()}
    by_hand = {name: n * LABOUR[key] / 60.0 for name, (n, key) in BY_HAND.items()}
    assert {o.name: o.minutes for o in found} == pytest.approx(by_hand)


def test_the_minutes_of_a_display_are_the_sum_of_its_operations() -> None:
    seconds = sum(n * LABOUR[key] for n, key in BY_HAND.values())
    assert cost_of(counted()).minutes == pytest.approx(seconds / 60.0, abs=1e-9)


def test_operations_that_do_not_occur_are_left_out() -> None:
    data = counted()
    del data["strings"]["gable"], data["kinds"]["ball"]["hook"], data["strings"]["rail"]["feeds"]
    names = {o.name for o in operations(build_of(data))}
    assert names == BY_HAND.keys() - {"wire a plug", "plug together", "fit a hook", "run a feed"}


def test_without_fuses_no_time_is_spent_on_them() -> None:
    data = counted()
    del data["strings"]["rail"]["fuse"], data["strings"]["rail"]["feeds"][0]["fuse"]
    assert "fit a fuse" not in {o.name for o in operations(build_of(data))}


def test_a_fuse_takes_two_joints_of_one_core_by_default() -> None:
    labour = Labour()
    assert labour.fit_fuse == pytest.approx(2 * labour.splice / 3)


def test_a_display_without_strings_takes_no_work() -> None:
    assert operations(build_of(counted() | {"strings": {}})) == ()
    assert operations(build_of({"display": "Nothing"})) == ()
