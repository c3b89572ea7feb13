"""Where holes are marked on a round shell: angle, height and the way of the tape against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad

from hollowglow.analysis.prop.inside.shapes import BoxFrame, LatheFrame, SphereFrame
from hollowglow.analysis.prop.making import girth_m
from hollowglow.analysis.prop.making.marks import marks
from tests.analysis.prop.making.samples import BALL, BOX, DRUM, SOUND_KIND, made


@pytest.mark.parametrize("height", [0.0, 0.02, 0.07, 0.11, 0.14])
def test_the_tape_on_a_ball_is_an_arc(height: float) -> None:
    # The arc from the pole: the integral of r / sqrt(r2 - (h - r)2).
    arc, _ = quad(lambda z: 0.07 / math.sqrt(0.07**2 - (z - 0.07) ** 2), 0.0, height, limit=200)
    radius = math.sqrt(height * (0.14 - height))
    assert SphereFrame(0.14).along_m(radius, height) == pytest.approx(arc, rel=1e-6, abs=1e-9)


def test_the_tape_on_a_drum_goes_over_the_base_and_up_the_side() -> None:
    drum = LatheFrame(((0.05, 0.0), (0.05, 0.12)))
    assert drum.along_m(0.03, 0.0) == pytest.approx(0.03)
    assert drum.along_m(0.05, 0.04) == pytest.approx(0.05 + 0.04)
    assert drum.along_m(0.0, 0.12) == pytest.approx(0.05 + 0.12 + 0.05)


def test_the_tape_on_a_slope_is_the_slant() -> None:
    cone = LatheFrame(((0.03, 0.0), (0.0, 0.04)))
    assert cone.along_m(0.015, 0.02) == pytest.approx(0.03 + 0.025)


def test_the_tape_on_a_box_goes_over_the_middle_of_a_face() -> None:
    box = BoxFrame((0.06, 0.08, 0.1))
    assert box.along_m(0.02, 0.0) == pytest.approx(0.02)
    assert box.along_m(0.03, 0.07) == pytest.approx(0.03 + 0.07)


def test_glands_of_a_side_stand_opposite_each_other() -> None:
    found = [
        m for m in marks(made({**SOUND_KIND, "gland": {"part": "nut", "count": 2, "at": "side"}})) if m.what == "gland"
    ]
    assert abs(found[0].angle_deg - found[1].angle_deg) == pytest.approx(180.0)
    assert [m.radius_m for m in found] == pytest.approx([0.05, 0.05])
    assert [m.diameter_m for m in found] == pytest.approx([0.0128, 0.0128])


def test_a_box_has_no_strip_and_a_ball_is_as_round_as_pi_says() -> None:
    assert not list(marks(made({**SOUND_KIND, "shell": {**BOX, "opening": "90 mm"}})))
    assert girth_m(SphereFrame(0.14)) == pytest.approx(math.pi * 0.14)
    assert {m.what for m in marks(made({**SOUND_KIND, "shell": {**BALL, "opening": "90 mm"}}))} >= {"gland"}
    assert np.isfinite([m.along_m for m in marks(made({**SOUND_KIND, "shell": {**DRUM, "opening": "90 mm"}}))]).all()
