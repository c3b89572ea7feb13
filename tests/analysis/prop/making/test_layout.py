"""Where lights sit: each arrangement by hand, and that sensible ones stay inside their shells."""

import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hollowglow.analysis.prop.inside import frame_of
from hollowglow.analysis.prop.inside.frame import room_m
from hollowglow.analysis.prop.inside.layout import LightSize, size_of
from hollowglow.analysis.prop.making import arrangement_of
from hollowglow.analysis.prop.making.fit import clashes
from tests.analysis.prop.making.samples import BALL, BOX, CRATE, DISC, DROP, DRUM, PLATE, TUBE, kind_of, made, placed

MM = 1e-3


def fill(count: int, **more: Any) -> dict[str, Any]:
    return {"light": "lamp", "count": count, **more}


@pytest.mark.parametrize(
    ("kind", "expected"),
    [
        ({"fill": fill(1)}, "stand-off"),
        ({"fill": fill(3)}, "ring"),
        ({"fill": fill(3), "carrier": DISC}, "one face"),
        ({"fill": fill(3), "carrier": PLATE}, "two faces"),
        ({"fill": fill(3), "carrier": CRATE}, "two faces"),
        ({"fill": fill(3), "carrier": TUBE}, "up a tube"),
        ({"fill": fill(1), "carrier": TUBE}, "stand-off"),
        ({"fill": fill(3, arrangement="ring"), "carrier": DISC}, "ring"),
        ({"fill": fill(1, arrangement="ring", positions=[["0 mm", "0 mm", "50 mm"]])}, "by hand"),
    ],
)
def test_what_is_taken_where_no_arrangement_is_stated(kind: dict[str, Any], expected: str) -> None:
    one, _ = kind_of({"shell": BALL, **kind})
    assert arrangement_of(one) == expected
    assert placed({"shell": BALL, **kind}).arrangement == expected


def test_a_stand_off_looks_to_the_tip_from_above_its_disc() -> None:
    # The disc of 3 mm at 40 mm ends at 43 mm; the front stands 10 mm above.
    at = placed({"shell": BALL, "carrier": {**DISC, "above_base": "40 mm"}, "fill": fill(1)})
    np.testing.assert_allclose(at.positions, [[0.0, 0.0, 0.053]], atol=1e-12)
    np.testing.assert_allclose(at.axes, [[0.0, 0.0, 1.0]])
    assert at.faces == ("tip",)
    assert at.spots.tolist() == [[0.0, 0.0]]


def test_a_carrier_sits_halfway_up_unless_it_is_told_where() -> None:
    at = placed({"shell": BALL, "carrier": DISC, "fill": fill(1)})
    np.testing.assert_allclose(at.positions[:, 2], [70 * MM + 1.5 * MM + 10 * MM])


def test_a_stand_off_without_a_carrier_rests_where_the_shell_is_wide_enough() -> None:
    # A light of 12 mm in a ball of 136 mm inside: the rim rests at 70 - sqrt(68² - 6²) mm, its front 24 mm above.
    at = placed({"shell": BALL, "fill": fill(1)})
    rest = 70.0 - math.sqrt(68.0**2 - 6.0**2)
    np.testing.assert_allclose(at.positions, [[0.0, 0.0, (rest + 24.0) * MM]], atol=1e-7)


def test_a_flat_module_reaches_out_by_its_own_depth() -> None:
    low = placed(
        {"shell": DRUM, "carrier": {**DISC, "above_base": "20 mm"}, "fill": {"light": "coin", "stand_off": "2 mm"}}
    )
    np.testing.assert_allclose(low.positions[:, 2], [0.033])
    high = placed(
        {"shell": DRUM, "carrier": {**DISC, "above_base": "20 mm"}, "fill": {"light": "coin", "stand_off": "25 mm"}}
    )
    np.testing.assert_allclose(high.positions[:, 2], [0.048])


def test_five_in_a_box_are_three_and_two_looking_to_both_sides() -> None:
    at = placed({"shell": BALL, "carrier": CRATE, "fill": fill(5)})
    assert at.faces == ("+x", "+x", "+x", "-x", "-x")
    np.testing.assert_allclose(at.positions[:, 0], np.array([40, 40, 40, -40, -40]) * MM)
    np.testing.assert_allclose(at.axes[:, 0], [1, 1, 1, -1, -1])


def test_a_sheet_shares_its_bores_between_its_faces() -> None:
    at = placed({"shell": BALL, "carrier": PLATE, "fill": fill(5)})
    assert at.faces == ("+x", "+x", "+x", "-x", "-x")
    np.testing.assert_allclose(np.abs(at.positions[:, 0]), 11.5 * MM)
    flat = at.positions[:, 1:]
    step = np.linalg.norm(flat[:, None] - flat[None], axis=2) + np.eye(5)
    assert step.min() > 14.0 * MM
    disc = placed({"shell": BALL, "carrier": DISC, "fill": fill(4, arrangement="two faces")})
    assert disc.faces == ("tip", "tip", "base", "base")
    np.testing.assert_allclose(disc.axes[:, 2], [1, 1, -1, -1])


@pytest.mark.parametrize("carrier", [DISC, PLATE, CRATE, TUBE])
@pytest.mark.parametrize("arrangement", ["stand-off", "one face", "two faces", "ring", "up a tube"])
@pytest.mark.parametrize("count", [1, 2, 5])
def test_a_spot_on_a_face_is_where_the_light_is(carrier: dict[str, Any], arrangement: str, count: int) -> None:
    one = made({"shell": BALL, "carrier": carrier, "fill": fill(count, arrangement=arrangement)})
    assert one.body is not None
    assert len(one.placed.positions) == count
    for i, name in enumerate(one.placed.faces):
        assert name is not None
        face = one.body.faces[name]
        u, v = one.placed.spots[i]
        np.testing.assert_allclose(np.linalg.norm(one.placed.axes[i]), 1.0)
        foot = one.placed.positions[i] - 10.0 * MM * one.placed.axes[i]
        if face.outline == "rim":
            radius = face.centre[0]
            expected = [radius * math.cos(u / radius), radius * math.sin(u / radius), face.centre[2] + v]
            np.testing.assert_allclose(foot, expected, atol=1e-12)
        else:
            np.testing.assert_allclose(foot, face.centre + u * face.u + v * face.v, atol=1e-12)
            np.testing.assert_allclose(one.placed.axes[i], face.normal, atol=1e-12)


def test_faces_seen_from_outside_have_their_second_axis_to_the_left_of_their_first() -> None:
    for carrier in (DISC, PLATE, CRATE, TUBE):
        body = made({"shell": BALL, "carrier": carrier}).body
        assert body is not None
        for face in body.faces.values():
            np.testing.assert_allclose(np.cross(face.u, face.v), face.normal, atol=1e-12)


def test_a_ring_without_a_carrier_is_a_bundle_that_just_touches() -> None:
    # Six backs of 12 mm touch at 12 / (2 tan 30°) = 10.39 mm; the fronts are 24 mm further out.
    at = placed({"shell": BALL, "fill": fill(6)})
    radius = 12.0 / (2.0 * math.tan(math.pi / 6.0)) + 24.0
    np.testing.assert_allclose(np.hypot(at.positions[:, 0], at.positions[:, 1]), radius * MM)
    np.testing.assert_allclose(at.positions[:, 2], 70 * MM)
    assert clashes(at.positions, at.axes, LightSize(0.012, 0.024, True)) == ()


def test_a_ring_in_a_flat_box_lies_in_the_plane_of_its_large_faces() -> None:
    flat = {"shape": "box", "width": "200 mm", "depth": "40 mm", "height": "200 mm", "wall": "2 mm"}
    at = placed({"shell": flat, "fill": fill(6)})
    np.testing.assert_allclose(at.positions[:, 1], 0.0, atol=1e-12)
    turned = placed({"shell": {**flat, "width": "40 mm", "depth": "200 mm"}, "fill": fill(6)})
    np.testing.assert_allclose(turned.positions[:, 0], 0.0, atol=1e-12)


def test_lights_up_a_tube_rise_in_equal_steps_and_turn() -> None:
    at = placed({"shell": {**DRUM, "height": "150 mm"}, "carrier": TUBE, "fill": fill(4)})
    np.testing.assert_allclose(np.diff(at.positions[:, 2]), 20 * MM)
    np.testing.assert_allclose(np.hypot(at.positions[:, 0], at.positions[:, 1]), 30 * MM)
    turns = np.diff(np.unwrap(np.arctan2(at.axes[:, 1], at.axes[:, 0])))
    np.testing.assert_allclose(np.degrees(turns), 137.5077640500378)
    two = placed({"shell": DRUM, "carrier": TUBE, "fill": fill(2)})
    np.testing.assert_allclose(two.axes[0], -two.axes[1], atol=1e-12)


def test_lights_by_hand_look_away_from_the_axis() -> None:
    spots = [["30 mm", "0 mm", "50 mm"], ["0 mm", "-20 mm", "60 mm"], ["0 mm", "0 mm", "70 mm"]]
    at = placed({"shell": BALL, "fill": fill(3, positions=spots)})
    np.testing.assert_allclose(at.axes, [[1, 0, 0], [0, -1, 0], [0, 0, 1]], atol=1e-12)
    turned = placed({"shell": BALL, "fill": fill(1, positions=spots[:1], axes=[[0, 3, 4]])})
    np.testing.assert_allclose(turned.axes, [[0.0, 0.6, 0.8]])


@pytest.mark.parametrize("shell", [BALL, {**DRUM, "height": "200 mm"}, DROP, BOX])
@given(
    arrangement=st.sampled_from(["stand-off", "one face", "two faces", "ring", "up a tube"]),
    count=st.integers(1, 6),
)
def test_lights_without_a_carrier_stay_inside_a_roomy_shell(
    shell: dict[str, Any], arrangement: str, count: int
) -> None:
    kind, light = kind_of({"shell": shell, "fill": fill(count, arrangement=arrangement)})
    assert kind.shell is not None
    at = placed({"shell": shell, "fill": fill(count, arrangement=arrangement)})
    assert room_m(frame_of(kind.shell), at.positions).min() > 0.0
    assert clashes(at.positions, at.axes, size_of(light)) == () or arrangement == "up a tube"


def test_a_light_of_unstated_size_is_taken_to_be_the_usual_bullet() -> None:
    one = made({"shell": BALL, "fill": {"light": "plain-lamp", "count": 4}})
    assert (one.size.diameter_m, one.size.depth_m, one.size.stated) == (0.012, 0.024, False)
    assert one.fit.light_room_m is None


def test_a_kind_without_a_shell_still_has_places() -> None:
    assert placed({"fill": fill(3)}).positions.shape == (3, 3)
    np.testing.assert_allclose(placed({"carrier": DISC, "fill": fill(1)}).positions, [[0.0, 0.0, 0.013]])
