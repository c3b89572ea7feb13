"""The exchange of patches against Mitsuba 3, a path tracer (scalar_rgb), in two shells that are not spheres."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from hollowglow.analysis.prop.optics import Enclosure, Plate, PointLight, Wall, cylinder, enclosure, interior, lathe
from hollowglow.analysis.prop.optics.enclosure.mesh import points
from tests.analysis.prop.optics import tracing

mi = pytest.importorskip("mitsuba")

RHO, CARRIER_RHO = 0.6, 0.8
SAMPLES = 640


@pytest.fixture(autouse=True)
def _variant() -> None:
    mi.set_variant("scalar_rgb")


def compare(room: Enclosure, lights: list[PointLight], scene: dict[str, Any]) -> tuple[float, float, float, float]:
    """Return the largest difference of total and of indirect irradiance and the tracer's own noise of each."""
    glow = interior(room, Wall((0.3,), (RHO,)), CARRIER_RHO).glow(lights)
    rows = np.linspace(0, room.wall_count - 1, 40).astype(np.int64)
    # Sixteen points follow the edge of a shadow across a patch; four do not.
    spots = points(room.wall, rows, 4)
    for k, light in enumerate(lights):
        scene[f"light{k}"] = tracing.square_light(light.position_m, light.axis, light.flux_lm[0], 1e-3)
    there = tracing.traced(scene, spots, room.wall.normal[rows], RHO, SAMPLES)
    here, straight = glow.irradiance_lx[rows, 0], glow.direct_lx[rows, 0]
    total = np.abs(here / there.total - 1.0)
    indirect = np.abs((here - straight) / (there.total - there.direct) - 1.0)
    print(
        f"total {total.max():.4f} (rms {np.sqrt((total**2).mean()):.4f}, noise {there.total_noise:.4f}), "
        f"indirect {indirect.max():.4f} (rms {np.sqrt((indirect**2).mean()):.4f}, noise {there.indirect_noise:.4f})"
    )
    return float(total.max()), float(indirect.max()), there.total_noise, there.indirect_noise


def test_a_waisted_body_is_lit_as_the_tracer_says(tmp_path: Path) -> None:
    shell = lathe([(0.05, 0.0), (0.045, 0.03), (0.025, 0.05), (0.03, 0.06), (0.05, 0.08), (0.03, 0.11)])
    lights = [
        PointLight(np.array([0.01, 0.0, 0.085]), np.array([0.0, 0.6, -0.8]), 120.0, (10.0,)),
    ]
    wall = tracing.facets(tmp_path / "wall.ply", enclosure(shell, None, 12000).wall.corners)
    scene = {"wall": {**wall, "bsdf": tracing.diffuse(RHO)}}
    total, indirect, total_noise, indirect_noise = compare(enclosure(shell, None, 2000), lights, scene)
    assert max(total_noise, indirect_noise) < 0.01, (total_noise, indirect_noise)
    assert indirect < 0.03
    assert total < 0.03


def test_a_drum_with_a_plate_off_its_axis_is_lit_as_the_tracer_says() -> None:
    shell = cylinder(0.12, 0.16)
    plate = Plate(np.array([0.01, 0.0, 0.07]), np.array([0.035, 0.0, 0.0]), np.array([0.0, 0.02, 0.0]))
    lights = [
        PointLight(np.array([0.02, 0.005, 0.072]), np.array([0.0, 0.0, 1.0]), 120.0, (10.0,)),
    ]
    turn, size = mi.ScalarTransform4f, tracing.SCALE
    whole = turn().scale(size)
    scene = {
        "side": {"type": "cylinder", "p0": [0, 0, 0], "p1": [0, 0, 0.16], "radius": 0.06, "to_world": whole},
        "floor": {"type": "disk", "to_world": whole @ turn().scale(0.06)},
        "lid": {"type": "disk", "to_world": whole @ turn().translate([0, 0, 0.16]) @ turn().scale(0.06)},
        "plate": {
            "type": "rectangle",
            "to_world": whole @ turn().translate([0.01, 0.0, 0.07]) @ turn().scale([0.035, 0.02, 1.0]),
        },
    }
    for name, shape in scene.items():
        shape["bsdf"] = tracing.diffuse(CARRIER_RHO if name == "plate" else RHO)
    total, indirect, total_noise, indirect_noise = compare(enclosure(shell, plate, 2000), lights, scene)
    assert max(total_noise, indirect_noise) < 0.01, (total_noise, indirect_noise)
    assert indirect < 0.03
    assert total < 0.03
