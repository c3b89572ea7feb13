"""Drills, bores and webs against sums by hand; nothing here is taken from the code."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hollowglow.analysis.prop.making.bores import drills
from hollowglow.analysis.prop.making.bores.holes import PUSH_FIT_M, bore_for, least_web_m
from tests.analysis.prop.making.samples import BALL, CRATE, DISC, PLATE, TUBE, made

MM = 1e-3
INCH = 25.4


@pytest.mark.parametrize(
    ("wanted_mm", "metric", "inch"),
    [
        (12.2, "12 mm", "31/64 in"),  # 0.4803 in = 30.7/64
        (12.8, "13 mm", "1/2 in"),  # 0.5039 in = 32.25/64
        (4.0, "4 mm", "5/32 in"),  # 0.1575 in = 10.08/64
        (2.94, "2.9 mm", "7/64 in"),  # 0.1157 in = 7.4/64
        (28.6, "28.5 mm", "1 1/8 in"),  # 1.126 in = 72.06/64
        (25.4, "25.5 mm", "1 in"),
    ],
)
def test_the_nearest_drills(wanted_mm: float, metric: str, inch: str) -> None:
    assert drills.metric(wanted_mm * MM).name == metric
    assert drills.inch(wanted_mm * MM).name == inch


def test_a_drill_is_not_smaller_than_what_must_go_through() -> None:
    assert drills.metric(12.2 * MM, 12.1 * MM).name == "12.5 mm"
    assert drills.inch(12.8 * MM, 12.75 * MM).name == "33/64 in"


@given(st.floats(0.5e-3, 60e-3))
def test_drills_are_half_a_step_away_at_most(wanted: float) -> None:
    assert abs(drills.metric(wanted).diameter_m - wanted) <= (0.05001e-3 if wanted <= 3e-3 else 0.25001e-3)
    assert abs(drills.inch(wanted).diameter_m - wanted) <= INCH / 128 * 1.0001e-3


@pytest.mark.parametrize("wrong", [0.0, -1e-3, float("nan")])
def test_no_drill_makes_no_hole(wrong: float) -> None:
    with pytest.raises(ValueError, match="cannot be drilled"):
        drills.metric(wrong)


# Common practice, no source: a 12 mm light is pushed into a bore that is sized by eye.
def test_a_bullet_of_12_mm_may_be_pushed_into_a_bore_of_12_mm() -> None:
    low, high = PUSH_FIT_M
    assert low <= 0.0 <= high
    bore = bore_for(12 * MM, 0.2 * MM)
    assert bore.diameter_m == pytest.approx(12.2 * MM)
    assert bore.metric_fit_m == pytest.approx(0.0, abs=1e-9)
    assert bore.inch_fit_m == pytest.approx(31 / 64 * INCH * MM - 12 * MM)
    assert bore.glued == ()


def test_a_loose_bore_asks_for_glue_and_a_tight_one_is_the_builders_own() -> None:
    assert bore_for(12 * MM, 1.0 * MM).glued == ("13 mm", "33/64 in")
    tight = bore_for(12 * MM, -0.5 * MM)
    assert tight.metric.name == "11.5 mm"
    assert tight.inch.name == "29/64 in"


def test_a_web_is_2_mm_or_a_quarter_of_the_hole() -> None:
    assert least_web_m(6 * MM) == pytest.approx(2 * MM)
    assert least_web_m(12 * MM) == pytest.approx(3 * MM)


def test_each_face_of_a_box_has_its_own_template() -> None:
    carrier = made({"shell": BALL, "carrier": CRATE, "fill": {"light": "lamp", "count": 5}}).carrier
    assert carrier is not None
    assert [(t.face.name, [h.light for h in t.holes]) for t in carrier.templates] == [("+x", [1, 2, 3]), ("-x", [4, 5])]
    first, second = carrier.templates
    # Three bores of 12.2 mm on 50 x 60 mm: rows of two and one; two in a row leave (50 - 24.4)/3, two rows (60 - 24.4)/3.
    assert first.web is not None
    assert first.web.width_m == pytest.approx((50 - 24.4) / 3 * MM)
    assert [(round(h.u_m / MM, 2), round(h.v_m / MM, 2)) for h in second.holes] == [(0.0, -12.03), (0.0, 12.03)]
    assert second.web is not None
    assert second.web.width_m == pytest.approx((60 - 24.4) / 3 * MM)


def test_the_thinnest_web_of_a_disc() -> None:
    # Four on 70 mm: 4 a, a = 0.7071: pitch = (35 + 6.1)/(1.7071) = 24.08 mm between centres.
    carrier = made({"shell": BALL, "carrier": DISC, "fill": {"light": "lamp", "count": 4}}).carrier
    assert carrier is not None
    (template,) = carrier.templates
    assert template.web is not None
    assert template.web.width_m == pytest.approx(41.1 / (1 + 0.5**0.5) * MM - 12.2 * MM)
    assert template.web.second is not None


def test_bores_of_a_sheet_count_on_both_of_its_faces() -> None:
    plate = {**PLATE, "width": "40 mm", "height": "40 mm"}
    carrier = made({"shell": BALL, "carrier": plate, "fill": {"light": "lamp", "count": 4}}).carrier
    assert carrier is not None
    # Two by two on 40 mm: (40 - 24.4)/3 = 5.2 between neighbours, which look to opposite sides in one row.
    for template in carrier.templates:
        assert template.web is not None
        assert template.web.width_m == pytest.approx(5.2 * MM)
    first, second = (t.web for t in carrier.templates)
    assert first is not None
    assert first.second is not None
    assert second is not None


def test_flat_modules_are_marked_out_and_not_bored() -> None:
    carrier = made({"shell": BALL, "carrier": DISC, "fill": {"light": "coin"}}).carrier
    assert carrier is not None
    assert carrier.bore is None
    (template,) = carrier.templates
    assert not template.drilled
    assert template.web is None
    assert template.holes[0].light == 1


def test_a_rim_that_is_thinner_than_a_light_is_not_bored() -> None:
    ring = {"shell": BALL, "carrier": DISC, "fill": {"light": "lamp", "count": 3, "arrangement": "ring"}}
    carrier = made(ring).carrier
    assert carrier is not None
    assert [t.drilled for t in carrier.templates] == [False]


def test_a_tube_closes_on_itself() -> None:
    ring = {"shell": BALL, "carrier": TUBE, "fill": {"light": "lamp", "count": 4, "arrangement": "ring"}}
    carrier = made(ring).carrier
    assert carrier is not None
    (template,) = carrier.templates
    assert template.web is not None
    # A quarter of a circumference of 40 π = 31.4 mm between centres; the ends are 40 mm away.
    assert template.web.width_m == pytest.approx(10 * np.pi * MM - 12.2 * MM)


@given(
    carrier=st.sampled_from([DISC, PLATE, CRATE, TUBE]),
    count=st.integers(1, 8),
    arrangement=st.sampled_from(["stand-off", "one face", "two faces", "ring", "up a tube"]),
)
def test_every_light_has_one_hole_and_a_web_is_never_wider_than_its_face(
    carrier: dict[str, Any], count: int, arrangement: str
) -> None:
    one = made(
        {"shell": BALL, "carrier": carrier, "fill": {"light": "lamp", "count": count, "arrangement": arrangement}}
    )
    assert one.carrier is not None
    assert sorted(h.light for t in one.carrier.templates for h in t.holes) == list(range(1, count + 1))
    for template in one.carrier.templates:
        if template.web is not None:
            assert template.web.width_m < min(template.face.width_m, template.face.height_m)


@given(st.integers(1, 6), st.floats(60.0, 110.0))
def test_webs_are_positive_on_a_face_with_room(count: int, across_mm: float) -> None:
    one = made({"carrier": {**DISC, "diameter": f"{across_mm:.2f} mm"}, "fill": {"light": "lamp", "count": count}})
    assert one.carrier is not None
    (template,) = one.carrier.templates
    assert template.web is not None
    assert template.web.width_m > 0.0
