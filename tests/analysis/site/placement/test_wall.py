"""A photographed wall made true: against OpenCV, and on a made photograph with known corners."""

from __future__ import annotations

import math
from pathlib import Path

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from hollowglow.analysis.site.placement import scale_from, true_wall
from hollowglow.file import load_text
from hollowglow.measured.photo.read import read_photograph
from hollowglow.messages.refusal import Refusal
from hollowglow.plan import make_plan
from hollowglow.view.pictures.yard import backdrop, yard_drawing
from tests.analysis.site.placement.samples import FILE, yard

CORNERS = [[140.0, 560.0], [860.0, 470.0], [830.0, 150.0], [180.0, 60.0]]
NUDGE = st.tuples(*(st.floats(-60.0, 60.0) for _ in range(8)))


@given(nudge=NUDGE, width=st.floats(0.5, 40.0), height=st.floats(0.5, 40.0))
def test_the_homography_is_that_of_opencv(nudge: tuple[float, ...], width: float, height: float) -> None:
    seen = np.array([[200, 500], [800, 500], [800, 150], [200, 150]], dtype=np.float64) + np.reshape(nudge, (4, 2))
    true = np.array([[0, 0], [width, 0], [width, height], [0, height]])
    theirs = cv2.getPerspectiveTransform(seen.astype(np.float32), true.astype(np.float32), cv2.DECOMP_SVD)
    theirs, _ = cv2.findHomography(seen, true) if theirs is None else (theirs, None)
    points = np.array([[300.0, 300.0], [512.5, 401.25], [700.0, 250.0]])
    expected = cv2.perspectiveTransform(points[None], theirs)[0]
    ours = true_wall(seen, width, height)
    # OpenCV takes the corners in single precision.
    assert ours.places_m(points) == pytest.approx(expected, abs=2e-5 * max(width, height))
    assert ours.places_m(seen) == pytest.approx(true, abs=1e-9 * max(width, height))
    assert ours.pixels(ours.places_m(points)) == pytest.approx(points, abs=1e-6)


def camera(places_m: np.ndarray) -> np.ndarray:  # type: ignore[type-arg]
    """Pixels of places on a wall by a pinhole camera 9 m away, turned 25° aside and 12° up; OpenCV's projection."""
    turn, tilt = math.radians(25.0), math.radians(-12.0)
    aside = np.array([[math.cos(turn), 0, math.sin(turn)], [0, 1, 0], [-math.sin(turn), 0, math.cos(turn)]])
    up = np.array([[1, 0, 0], [0, math.cos(tilt), -math.sin(tilt)], [0, math.sin(tilt), math.cos(tilt)]])
    lens = np.array([[900.0, 0, 640.0], [0, 900.0, 480.0], [0, 0, 1]])
    # Up on the wall is down in a picture.
    solid = np.column_stack([places_m[:, 0] - 4.0, 1.6 - places_m[:, 1], np.zeros(len(places_m))])
    rotation, _ = cv2.Rodrigues(up @ aside)
    pixels, _ = cv2.projectPoints(solid, rotation, np.array([0.3, 0.2, 9.0]), lens, None)
    return np.asarray(pixels.reshape(-1, 2), dtype=np.float64)


def test_lengths_on_a_photographed_wall_are_right_within_one_percent_with_corners_clicked_to_the_pixel() -> None:
    # A rectangle of 6 m by 3 m is known; all else on the wall follows, also outside it.
    corners = np.array([[1.0, 0.5], [7.0, 0.5], [7.0, 3.5], [1.0, 3.5]])
    clicked = np.rint(camera(corners))
    scaling = true_wall(clicked, 6.0, 3.0)
    rng = np.random.default_rng(1)
    ends = rng.uniform([0.0, 0.0], [8.0, 4.0], (200, 2, 2))
    true = np.linalg.norm(ends[:, 1] - ends[:, 0], axis=1)
    seen = np.rint(camera(ends.reshape(-1, 2)))
    found = np.diff(scaling.places_m(seen).reshape(200, 2, 2), axis=1)[:, 0]
    long = true > 1.5
    assert np.abs(np.linalg.norm(found, axis=1)[long] / true[long] - 1.0).max() < 0.01


def test_a_scale_from_two_points_turns_pixels_into_metres_up() -> None:
    scaling = scale_from([[100.0, 400.0], [400.0, 800.0]], 10.0)  # 500 pixels
    assert scaling.places_m([[100.0, 400.0], [150.0, 300.0]]) == pytest.approx(np.array([[0.0, 0.0], [1.0, 2.0]]))
    other = scale_from([[100.0, 400.0], [400.0, 800.0]], 10.0, origin=[0.0, 0.0])
    assert other.places_m([[50.0, 100.0]]) == pytest.approx(np.array([[1.0, -2.0]]))


@pytest.mark.parametrize(
    "corners",
    [
        CORNERS[::-1],  # the other way round
        [CORNERS[0], CORNERS[2], CORNERS[1], CORNERS[3]],  # crossed over
        [[0.0, 0.0], [1.0, 0.0], [2.0, 0.0], [3.0, 0.0]],  # on one line
        [[0.0, 0.0]] * 4,
        [[0.0, math.nan], *CORNERS[1:]],
    ],
)
def test_corners_that_are_no_rectangle_are_refused(corners: list[list[float]]) -> None:
    with pytest.raises(ValueError, match="corners"):
        true_wall(corners, 3.0, 2.0)


def test_scales_without_size_are_refused() -> None:
    with pytest.raises(ValueError, match="in one place"):
        scale_from([[1.0, 1.0], [1.0, 1.0]], 2.0)
    with pytest.raises(ValueError, match="length above 0"):
        scale_from([[1.0, 1.0], [2.0, 1.0]], 0.0)


def wall_photograph(path: Path) -> np.ndarray:  # type: ignore[type-arg]
    """A photograph of a dark wall with a white square, 1 m wide, its middle at (3.5 m, 3.5 m); its window's corners."""
    pixels = np.full((960, 1280, 3), 40, dtype=np.uint8)
    square = camera(np.array([[3.0, 3.0], [4.0, 3.0], [4.0, 4.0], [3.0, 4.0]]))
    cv2.fillPoly(pixels, [np.rint(square).astype(np.int32)], (255, 255, 255))
    Image.fromarray(pixels).save(path)
    return np.rint(camera(np.array([[2.0, 1.0], [5.0, 1.0], [5.0, 3.0], [2.0, 3.0]])))


def test_the_backdrop_is_drawn_true(tmp_path: Path) -> None:
    corners = wall_photograph(tmp_path / "wall.png").tolist()
    stated = f"backdrop: {{picture: wall.png, corners: {corners}, width: 3 m, height: 2 m}}"
    plan = make_plan(load_text(yard(("slack: 5 %", f"slack: 5 %, {stated}")), FILE))
    behind = backdrop(plan, tmp_path)
    assert behind is not None
    white = behind.pixels[:, :, 0] > 150
    step = (behind.right_m - behind.left_m) / behind.pixels.shape[1]
    assert math.sqrt(white.sum()) * step == pytest.approx(1.0, rel=0.01)
    # The window's bottom left corner, (2, 1) on the wall, is the place (0, 0).
    rows, columns = np.nonzero(white)
    assert behind.left_m + (columns.mean() + 0.5) * step == pytest.approx(1.5, abs=0.02)
    assert behind.top_m - (rows.mean() + 0.5) * step == pytest.approx(2.5, abs=0.02)
    for night in (False, True):
        assert yard_drawing(plan, night=night, folder=tmp_path).records
    assert read_photograph(tmp_path / "wall.png") is not None


def test_a_backdrop_that_is_not_there_is_told(tmp_path: Path) -> None:
    stated = "backdrop: {picture: none.png, points: [[1, 2], [3, 4]], length: 2 m}"
    plan = make_plan(load_text(yard(("slack: 5 %", f"slack: 5 %, {stated}")), FILE))
    with pytest.raises(Refusal, match=r"none\.png: found no file of this name, expected the backdrop"):
        yard_drawing(plan, night=False, folder=tmp_path)
    (tmp_path / "none.png").write_bytes(b"no picture")
    with pytest.raises(Refusal, match="the backdrop cannot be read"):
        yard_drawing(plan, night=False, folder=tmp_path)
