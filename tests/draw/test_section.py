"""The cut through a prop: as it hangs, to scale, beams landing where plane geometry says."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hollowglow.draw.prop.cut import area, below, edges, footprint, holds, inset, land, mirrored, nearest_on, point_at
from hollowglow.draw.prop.section import CutHole, CutLight, Hanging, Section, section
from hollowglow.draw.sheet.layout import PageBox, record_box
from hollowglow.draw.sheet.records import Drawing, Line, Polyline, Text
from tests.draw.glow_samples import DRUM, FLOAT, SPHERE, UP, WAIST, rectangle

MANY = tuple((0.1 * math.sin(math.pi * k / 720), 0.1 - 0.1 * math.cos(math.pi * k / 720)) for k in range(721))
ROOM = mirrored(((0.0, 0.0), (0.2, 0.0), (0.2, 0.3), (0.0, 0.3)))


def parts(drawing: Drawing, role: str) -> list[Polyline]:
    return [record for record in drawing.records if isinstance(record, Polyline) and record.role == role]


def words(drawing: Drawing) -> list[str]:
    return [record.text for record in drawing.records if isinstance(record, Text)]


def said(drawing: Drawing) -> str:
    return " ".join(words(drawing))


def length(points: list[tuple[float, float]]) -> float:
    return sum(math.dist(a, b) for a, b in pairwise(points))


def test_an_inset_rectangle_loses_its_wall_on_every_side() -> None:
    assert area(ROOM) == pytest.approx(0.4 * 0.3)
    assert area(inset(ROOM, 0.01)) == pytest.approx(0.38 * 0.28)


def test_an_inset_circle_is_a_smaller_circle() -> None:
    ball = mirrored(MANY)
    assert area(ball) == pytest.approx(math.pi * 0.1**2, rel=1e-4)
    assert area(inset(ball, 0.02)) == pytest.approx(math.pi * 0.08**2, rel=1e-4)


@given(st.lists(st.tuples(st.floats(0.0, 1.0), st.floats(0.01, 1.0)), min_size=2, max_size=12))
def test_an_outline_runs_anticlockwise_and_is_its_own_mirror(steps: list[tuple[float, float]]) -> None:
    z, profile = 0.0, [(0.3, 0.0)]
    for r, dz in steps:
        z += dz
        profile.append((r, z))
    loop = mirrored(profile)
    assert area(loop) > 0.0
    assert sorted((round(-x, 9) + 0.0, y) for x, y in loop) == sorted((round(x, 9) + 0.0, y) for x, y in loop)
    assert mirrored(tuple(reversed(profile))) == loop


@pytest.mark.parametrize("beam_deg", [20.0, 60.0, 120.0, 200.0])
def test_a_beam_from_the_middle_of_a_ball_lights_radius_times_angle(beam_deg: float) -> None:
    wall = mirrored(MANY)
    (stretch,) = footprint((0.0, 0.1), 0.7, math.radians(beam_deg), wall, ())
    assert length([point_at(wall, place) for place in stretch]) == pytest.approx(0.1 * math.radians(beam_deg), rel=1e-4)


def test_a_beam_on_a_flat_wall_lights_twice_distance_times_tangent() -> None:
    (stretch,) = footprint((0.0, 0.1), math.pi / 2, math.radians(60.0), ROOM, ())
    points = [point_at(ROOM, place) for place in stretch]
    assert length(points) == pytest.approx(2 * 0.2 * math.tan(math.radians(30.0)))
    assert {round(y, 12) for _, y in points} == {0.3}


def test_a_beam_into_a_corner_follows_the_wall_around_it() -> None:
    (stretch,) = footprint((0.1, 0.2), math.pi / 4, math.radians(60.0), ROOM, ())
    points = [point_at(ROOM, place) for place in stretch]
    assert any(math.dist(point, (0.2, 0.3)) < 1e-9 for point in points)
    # Both walls are 0.1 m away, the beam's edges lie 30 degrees off the corner's direction.
    assert length(points) == pytest.approx(2 * (0.1 - 0.1 * math.tan(math.radians(15.0))))


def test_a_carrier_throws_a_shadow_of_the_size_that_similar_triangles_give() -> None:
    plate = rectangle(-0.01, 0.15, 0.01, 0.151)
    left, right = sorted(
        (
            [point_at(ROOM, place)[0] for place in stretch]
            for stretch in footprint((0.0, 0.1), math.pi / 2, math.radians(60.0), ROOM, (plate,))
        ),
        key=min,
    )
    # The lower corners, 0.05 m up, cast onto 0.2 m up: four times as wide.
    assert max(left) == pytest.approx(-0.04, abs=1e-4)
    assert min(right) == pytest.approx(0.04, abs=1e-4)


def test_a_waist_hides_the_wall_behind_it() -> None:
    wall = mirrored(WAIST)
    stretches = footprint((0.0, 0.005), math.pi / 2, math.radians(150.0), wall, ())
    lit = [point_at(wall, place) for stretch in stretches for place in stretch]
    # The ray that grazes the waist, 0.02 m wide 0.045 m up, reaches the top 0.095 m up at 0.0422 m.
    assert max(x for x, y in lit if y > 0.0999) == pytest.approx(0.02 * 0.095 / 0.045, abs=2e-4)
    assert not [x for x, y in lit if 0.0505 < y < 0.0995]


@given(st.floats(-0.15, 0.15), st.floats(0.05, 0.25), st.floats(-math.pi, math.pi))
def test_a_ray_from_inside_ends_on_the_wall(x: float, y: float, angle: float) -> None:
    landing = land((x, y), angle, ROOM, ())
    assert landing is not None
    assert landing.place is not None
    assert math.dist(landing.point, point_at(ROOM, landing.place)) < 1e-9
    assert math.dist(nearest_on(ROOM, landing.point)[0], landing.point) < 1e-9


def test_inside_and_outside_are_told_apart() -> None:
    wall = mirrored(WAIST)
    assert holds(wall, (0.0, 0.05))
    assert not holds(wall, (0.03, 0.05))
    assert not holds(wall, (0.0, -0.01))


def test_the_part_below_a_level_of_a_rectangle() -> None:
    assert area(below(ROOM, 0.1, lambda p: p[1])) == pytest.approx(0.4 * 0.1)
    assert below(ROOM, -0.1, lambda p: p[1]) == ()


@pytest.mark.parametrize(("hangs", "sign"), [("tip down", 1.0), ("tip up", -1.0)])
def test_the_tip_points_the_way_that_the_prop_hangs(hangs: Hanging, sign: float) -> None:
    cone = ((0.05, 0.0), (0.0, 0.1))
    (wall,) = parts(section(Section("Cone", cone, 0.001, hangs)), "wall")
    centre = sum(x for x, _ in wall.points) / len(wall.points)
    tip = min(wall.points, key=lambda p: abs(p[0] - centre))
    assert sign * (tip[1] - max((y for _, y in wall.points if y != tip[1]), key=lambda y: abs(y - tip[1]))) > 0


def test_on_its_side_the_axis_lies_level() -> None:
    (wall,) = parts(section(Section("Drum", DRUM, 0.003, "on its side")), "wall")
    box = record_box(wall)
    assert (box.right - box.left) / (box.bottom - box.top) == pytest.approx(0.12 / 0.10)


def test_the_picture_is_to_the_scale_that_it_says() -> None:
    drawing = section(FLOAT)
    box = record_box(parts(drawing, "wall")[0])
    assert "scale 1:2" in words(drawing)
    assert box.right - box.left == pytest.approx(75.0)
    assert {"150 mm / 5.91 in", "150 mm", "5.91 in"} <= set(words(drawing))


def test_footprints_that_overlap_lie_in_lanes() -> None:
    lights = tuple(CutLight((x, 0.02), (0.0, 1.0), 0.005, 0.005, 90.0) for x in (-0.02, 0.0, 0.02))
    drawing = section(Section("Drum", DRUM, 0.003, "tip up", lights))
    levels = {round(y, 6) for line in parts(drawing, "footprint") for _, y in line.points}
    assert len(parts(drawing, "footprint")) == 3
    assert len({min(round(y, 6) for _, y in line.points) for line in parts(drawing, "footprint")}) == 3, levels


def test_a_narrow_light_next_to_the_wall_keeps_its_footprint() -> None:
    lights = tuple(CutLight((x, 0.005), (0.0, 1.0), 0.005, 0.002, 60.0) for x in (-0.1, -0.05, 0.0, 0.05, 0.1))
    box = ((0.15, 0.0), (0.15, 0.04))
    assert len(parts(section(Section("Flat", box, 0.003, "tip up", lights)), "footprint")) == 5


def test_a_light_beside_the_cut_has_no_beam() -> None:
    drawing = section(Section("Drum", DRUM, 0.003, "tip up", (replace(UP, in_cut=False),)))
    assert not parts(drawing, "footprint")
    assert not [r for r in drawing.records if isinstance(r, Line) and r.role == "ray"]


def test_the_drop_falls_from_the_drain_at_the_lowest_point() -> None:
    drawing = section(FLOAT)
    (drop,) = parts(drawing, "water")
    wall, fall = record_box(parts(drawing, "wall")[0]), record_box(drop)
    assert (fall.left + fall.right) / 2 == pytest.approx((wall.left + wall.right) / 2)
    assert wall.bottom < fall.top < fall.bottom
    assert "water stands" not in said(drawing)


def test_water_stands_up_to_a_drain_that_is_not_the_lowest_point() -> None:
    hole = CutHole((0.05, 0.04), 0.004, "drain", "drain")
    drawing = section(Section("Drum", DRUM, 0.003, "tip up", holes=(hole,)))
    box, wall = record_box(parts(drawing, "pool")[0]), record_box(parts(drawing, "wall")[0])
    assert "water stands below the drain" in words(drawing)
    # From the floor, 3 mm up, to 40 mm up.
    assert (box.bottom - box.top) / (wall.bottom - wall.top) == pytest.approx((0.04 - 0.003) / 0.12)


def test_a_prop_without_a_drain_is_marked() -> None:
    assert "no drain at the lowest point" in words(section(Section("Drum", DRUM, 0.003)))


def test_the_hook_is_on_top() -> None:
    drawing = section(FLOAT)
    wall = record_box(parts(drawing, "wall")[0])
    (arc,) = parts(drawing, "edge")
    assert record_box(arc).bottom < wall.top
    assert "metal hook" in words(drawing)


def test_holes_and_lights_are_named_with_their_sizes() -> None:
    text = said(section(FLOAT))
    for part in (
        "gland for the cable in, 12.5 mm / 0.49 in",
        "drain, 4.0 mm / 0.16 in",
        "3 lights, body 12.0 mm / 0.47 in, beam 120°",
        "light, body 12.0 mm / 0.47 in, beam 60°",
        "wall 2.0 mm / 0.08 in",
    ):
        assert part in text, part


@given(
    st.lists(st.tuples(st.floats(0.02, 0.5), st.floats(0.02, 0.3)), min_size=1, max_size=6),
    st.sampled_from(["tip down", "tip up", "on its side"]),
    st.lists(
        st.tuples(st.floats(0.0, 1.0), st.floats(0.002, 0.02), st.sampled_from(["hole", "gland", "drain"])), max_size=4
    ),
    st.text(max_size=50),
)
@settings(max_examples=40, deadline=None)
def test_any_shell_stays_on_the_page(
    steps: list[tuple[float, float]], hangs: Hanging, places: list[tuple[float, float, str]], label: str
) -> None:
    z, profile = 0.0, [(0.1, 0.0)]
    for r, dz in steps:
        z += dz
        profile.append((r, z))
    loop = mirrored(profile)
    holes = []
    for share, diameter, sort in places:
        a, b = edges(loop)[int(share * (len(loop) - 1))]
        holes.append(CutHole(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), diameter, label, sort))  # type: ignore[arg-type]
    light = CutLight((0.0, 0.5 * z), (0.3, 1.0), 0.012, 0.02, 100.0)
    drawing = section(Section(label, tuple(profile), 0.001, hangs, (light,), holes=tuple(holes), hook_label=label))
    page = PageBox(0.0, 0.0, drawing.width_mm, drawing.height_mm)
    assert all(record_box(record).inside(page) for record in drawing.records)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"wall_m": 0.0}, r"^a wall is 0\.0 m thick, expected more than 0$"),
        ({"wall_m": 0.09}, r"leaves no room inside, expected a thinner one$"),
        (
            {"lights": (replace(UP, at_m=(0.2, 0.02)),)},
            r"^a light stands at \(200\.0, 20\.0\) mm, expected a place inside",
        ),
        ({"profile_m": SPHERE[:1]}, "expected two or more"),
        ({"profile_m": ((0.0, 0.0), (0.0, 1.0))}, "encloses no area"),
    ],
)
def test_what_cannot_be_cut_is_refused(change: dict[str, object], message: str) -> None:
    with pytest.raises(ValueError, match=message):
        section(replace(FLOAT, **change))  # type: ignore[arg-type]


@pytest.mark.parametrize("change", [{"axis": (0.0, 0.0)}, {"beam_deg": 0.0}, {"beam_deg": 360.0}])
def test_a_light_that_shines_nowhere_is_refused(change: dict[str, object]) -> None:
    with pytest.raises(ValueError, match=r"^a light has"):
        section(Section("Drum", DRUM, 0.003, lights=(replace(UP, **change),)))  # type: ignore[arg-type]
