"""DXF templates reopened by ezdxf: the audit is clean, the unit is the millimetre, every hole is where it belongs."""

from __future__ import annotations

import io
import math

import ezdxf
import pytest
from ezdxf.document import Drawing
from ezdxf.layouts import Modelspace

from hollowglow.draw.forms import DxfFace, DxfStrip, face_dxf, strip_dxf
from hollowglow.file import load_text
from hollowglow.plan import make_plan
from hollowglow.view.open_forms import faces_of, strip_of
from hollowglow.view.pictures.end_templates import end_faces
from tests.assembly.samples import stated
from tests.outside.displays import dump

HOLES = ((0.010, 0.020, 0.0122), (-0.015, 0.0, 0.0122), (0.0, -0.025, 0.004))


def opened(text: str) -> tuple[Drawing, Modelspace]:
    document = ezdxf.read(io.StringIO(text))
    audit = document.audit()
    assert not audit.errors
    assert not audit.fixes
    assert document.units == ezdxf.units.MM
    assert document.header["$INSUNITS"] == 4
    return document, document.modelspace()


def circles(space: Modelspace, layer: str) -> list[tuple[float, float, float]]:
    found = space.query(f'CIRCLE[layer=="{layer}"]')
    return [(c.dxf.center.x, c.dxf.center.y, 2.0 * c.dxf.radius) for c in found]


def test_a_round_face_has_its_outline_and_holes_in_millimetres() -> None:
    _, space = opened(face_dxf(DxfFace("Käfig & <b> ^J %%c", 0.08, 0.08, True, HOLES)))
    assert circles(space, "CUT") == [(0.0, 0.0, pytest.approx(80.0))]
    assert circles(space, "DRILL") == [pytest.approx(tuple(1e3 * v for v in hole)) for hole in HOLES]


def test_a_rectangle_is_as_wide_and_high_as_stated() -> None:
    _, space = opened(face_dxf(DxfFace("plate", 0.12, 0.05, False, HOLES)))
    (outline,) = space.query("LWPOLYLINE")
    assert outline.closed
    xs, ys = zip(*((p[0], p[1]) for p in outline.get_points()), strict=True)
    assert (min(xs), max(xs), min(ys), max(ys)) == pytest.approx((-60.0, 60.0, -25.0, 25.0))


def test_a_strip_is_as_long_as_once_round() -> None:
    _, space = opened(strip_dxf(DxfStrip("strip", math.pi * 0.1, 0.024, ((math.pi * 0.025, 0.012, 0.0128),))))
    (outline,) = space.query("LWPOLYLINE")
    assert max(p[0] for p in outline.get_points()) == pytest.approx(math.pi * 100.0)
    # A quarter of the way round is 90 degrees: its tick is there.
    ticks = {round(line.dxf.start.x, 6) for line in space.query('LINE[layer=="MARK"]')}
    assert round(math.pi * 25.0, 6) in ticks
    assert circles(space, "DRILL") == [pytest.approx((math.pi * 25.0, 12.0, 12.8))]


def test_the_same_template_gives_the_same_text() -> None:
    face = DxfFace("plate", 0.12, 0.05, False, HOLES)
    assert face_dxf(face) == face_dxf(face)


def test_a_kind_is_cut_as_its_plan_says() -> None:
    kind = {
        "shell": {"shape": "cylinder", "diameter": "120 mm", "height": "160 mm"},
        "carrier": {"shape": "disc", "diameter": "90 mm"},
        "gland": {"part": "gland-pg7", "count": 2, "at": "side"},
    }
    parts = {"light": {"light": {**stated()["parts"]["light"]["light"], "diameter": "12 mm", "depth": "26 mm"}}}
    made = make_plan(load_text(dump(stated(kind=kind, fill={"count": 5}, parts=parts)))).making.kinds[0]
    ((_, face),) = faces_of(made)
    _, space = opened(face_dxf(face))
    assert made.carrier is not None
    wanted = [(1e3 * h.u_m, 1e3 * h.v_m) for h in made.carrier.templates[0].holes]
    drilled = circles(space, "DRILL")
    assert [(x, y) for x, y, _ in drilled] == [pytest.approx(at, abs=1e-6) for at in wanted]
    # 12 mm body and the file's default fit of 0.2 mm.
    assert [d for _, _, d in drilled] == pytest.approx([12.2] * 5)
    strip = strip_of(made)
    assert strip is not None
    assert strip.length_m == pytest.approx(math.pi * 0.120)
    _, space = opened(strip_dxf(strip))
    # Two glands opposite each other on the side: half of once round apart, holes of 12.8 mm (DIN 40430).
    (x1, _, d1), (x2, _, d2) = circles(space, "DRILL")
    assert abs(x2 - x1) == pytest.approx(math.pi * 60.0)
    assert (d1, d2) == pytest.approx((12.8, 12.8))


def test_the_ends_of_a_shell_are_drilled_as_its_plan_says() -> None:
    kind = {
        "shell": {"shape": "cylinder", "diameter": "120 mm", "height": "160 mm"},
        "gland": {"part": "gland-pg7", "count": 2},
    }
    made = make_plan(load_text(dump(stated(kind=kind)))).making.kinds[0]
    faces = dict(end_faces(made))
    assert set(faces) == {"shell-base", "shell-tip"}
    _, space = opened(face_dxf(faces["shell-base"]))
    assert made.cables is not None
    assert made.cables.points_m is not None
    holes = circles(space, "DRILL")
    assert [(x, y) for x, y, _ in holes] == [
        pytest.approx((1e3 * x, 1e3 * y)) for x, y, _ in made.cables.points_m.tolist()
    ]
    # 12.8 mm for a PG7 gland (DIN 40430); the drain of what hangs tip down is at its tip, on the axis, 4 mm wide.
    assert [d for _, _, d in holes] == pytest.approx([12.8, 12.8])
    _, space = opened(face_dxf(faces["shell-tip"]))
    assert circles(space, "DRILL") == [pytest.approx((0.0, 0.0, 4.0), abs=1e-9)]
    ((_, _, paper),) = circles(space, "CUT")
    assert 4.0 < paper < 120.0
