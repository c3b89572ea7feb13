"""Paths out of SVG pictures, points out of CSV tables."""

from __future__ import annotations

import math

import numpy as np
import pytest

from hollowglow.analysis.site.placement.imports import csv_points, svg_line
from hollowglow.messages.refusal import Refusal
from hollowglow.physics.lines import marks_m

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 100">'


def line(body: str, name: str | None = None, tolerance: float = 0.01) -> np.ndarray:  # type: ignore[type-arg]
    return svg_line(f"{HEAD}{body}</svg>", "a.svg", name, tolerance)[0]


def test_straight_paths_keep_their_corners_and_the_bottom_left_corner_is_told() -> None:
    points, corner = svg_line(f'{HEAD}<path d="M 10 20 l 30 0 v 40 H 0"/></svg>', "a.svg", None, 0.01)
    assert points.tolist() == [[10, 20], [40, 20], [40, 60], [0, 60]]
    assert corner == (0.0, 100.0)


@pytest.mark.parametrize(
    "body",
    [
        '<path d="M 50 0 A 50 50 0 0 1 -50 0"/>',
        '<g transform="translate(10 5) scale(2)"><path transform="rotate(30)" d="M 25 0 A 25 25 0 0 1 -25 0"/></g>',
    ],
)
def test_half_a_circle_measures_pi_r_within_the_tolerance(body: str) -> None:
    points = line(body, tolerance=0.01)
    assert marks_m(points)[-1] == pytest.approx(50.0 * math.pi, rel=1e-3)
    centre = points[[0, -1]].mean(axis=0)
    middles = (points[1:] + points[:-1]) / 2.0
    for where in (points, middles):
        assert np.abs(np.linalg.norm(where - centre, axis=1) - 50.0).max() < 0.02


def test_a_cubic_curve_has_the_length_of_its_integral() -> None:
    p = np.array([[0, 0], [40, 80], [120, -60], [160, 40]], dtype=float)
    t = np.linspace(0.0, 1.0, 200_001)[:, None]
    curve = (1 - t) ** 3 * p[0] + 3 * (1 - t) ** 2 * t * p[1] + 3 * (1 - t) * t**2 * p[2] + t**3 * p[3]
    points = line('<path d="M 0 0 C 40 80 120 -60 160 40"/>')
    assert marks_m(points)[-1] == pytest.approx(marks_m(curve)[-1], rel=1e-4)


def test_a_path_is_found_by_its_id_among_shapes() -> None:
    body = '<rect id="frame" width="9" height="9"/><polyline id="rail" points="1,2 3,4 5,4"/><text>no</text>'
    assert line(body, "rail").tolist() == [[1, 2], [3, 4], [5, 4]]
    with pytest.raises(Refusal, match='found no path "rial", expected the id of a path'):
        line(body, "rial")
    with pytest.raises(Refusal, match="found 2 paths, expected the id of one"):
        line(body)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "found no SVG picture"),
        ("<svg", "found no SVG picture"),
        (f"{HEAD}<text>x</text></svg>", "found no path"),
        (f'{HEAD}<path d="M 0 0 L 1 1 M 5 5 L 6 6"/></svg>', "in several pieces"),
        (f'{HEAD}<path d="M 0 0 L 0 0"/></svg>', "without length"),
        (f'{HEAD}<path d="M 0 0 C 1"/></svg>', "found no"),
        (f'<!DOCTYPE svg [<!ENTITY a "b">]>{HEAD}<path d="M 0 0 L 1 0"/></svg>', "found entities"),
    ],
)
def test_what_is_no_line_is_told(text: str, told: str) -> None:
    with pytest.raises(Refusal, match=told):
        svg_line(text, "a.svg", None, 0.01)


def test_points_come_in_metres_feet_units_and_pixels_in_the_order_of_the_props() -> None:
    text = "string,prop,x_m,y_m,z_m\nrail,2,3,4,5\ngable,1,9,9,9\nrail,1,1.5,2,0\n\n"
    found, pixels = csv_points(text, "a.csv", "rail")
    assert (found.tolist(), pixels) == ([[1.5, 2, 0], [3, 4, 5]], False)
    assert csv_points("x_ft,y_ft\n10,20\n", "a.csv", "rail")[0] == pytest.approx(np.array([[3.048, 6.096, 0.0]]))
    assert csv_points("x,y\n5 ft 6 in,-20 cm\n", "a.csv", "rail")[0] == pytest.approx(np.array([[1.6764, -0.2, 0.0]]))
    assert csv_points("\ufeffx_px,y_px\n10,20\n", "a.csv", "rail") == (
        pytest.approx(np.array([[10.0, 20.0, 0.0]])),
        True,
    )


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "a.csv: found no columns x_m and y_m"),
        ("a,b\n1,2\n", "found no columns x_m and y_m"),
        ("x_m,y_m\n1,two\n", 'a.csv, row 2, y_m: found "two", expected metres like 2.4'),
        ("x_m,y_m\n1\n", 'a.csv, row 2, y_m: found "", expected metres'),
        ("x,y\n1,2 m\n", "a.csv, row 2, x: found .* without a unit"),
        ("string,x_m,y_m\ngable,1,2\n", 'found no row for string "rail"'),
        ("prop,x_m,y_m\nfirst,1,2\n", "row 2, prop"),
        ("x_m,y_m\nnan,2\n", "expected metres"),
    ],
)
def test_a_table_that_cannot_be_used_is_told_with_its_row(text: str, told: str) -> None:
    with pytest.raises(Refusal, match=told):
        csv_points(text, "a.csv", "rail")
