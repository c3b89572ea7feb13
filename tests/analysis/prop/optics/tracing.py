"""A path tracer's answer to what arrives at points of a wall, for comparison with the exchange of patches."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

# The tracer moves its rays off surfaces by lengths made for scenes metres wide, so scenes are built this much larger.
SCALE = 100.0
OFF_M = 1e-4


@dataclass(frozen=True)
class Traced:
    """What arrives at patches according to the tracer, lx, and how far two seeds lie apart (one standard error)."""

    total: Floats
    direct: Floats
    total_noise: float
    indirect_noise: float


def diffuse(reflectance: float) -> dict[str, Any]:
    inner = {"type": "diffuse", "reflectance": {"type": "rgb", "value": [reflectance] * 3}}
    return {"type": "twosided", "bsdf": inner}


def square_light(position: Floats, axis: Floats, flux_lm: float, edge_m: float) -> dict[str, Any]:
    """Return a small square that emits by Lambert's law, which is a beam of 120 degrees at half intensity."""
    import mitsuba as mi

    position, edge_m = SCALE * position, SCALE * edge_m
    radiance = flux_lm * SCALE**2 / (math.pi * edge_m**2)
    up = [1.0, 0.0, 0.0] if abs(axis[0]) < 0.9 else [0.0, 1.0, 0.0]
    place = mi.ScalarTransform4f().look_at(
        origin=position.tolist(), target=(position + axis).tolist(), up=up
    ) @ mi.ScalarTransform4f().scale(edge_m / 2.0)
    return {
        "type": "rectangle",
        "to_world": place,
        "bsdf": {"type": "diffuse", "reflectance": {"type": "rgb", "value": [0.0] * 3}},
        "emitter": {"type": "area", "radiance": {"type": "rgb", "value": [radiance] * 3}},
    }


def facets(file: Path, corners: Floats) -> dict[str, Any]:
    """Write four-cornered facets to a PLY file and return the shape that reads it."""
    corners = SCALE * corners
    triangles = np.stack([corners[:, [0, 1, 2]], corners[:, [0, 2, 3]]], axis=1).reshape(-1, 3, 3)
    edge = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    flat = np.linalg.norm(edge, axis=1) > 1e-12
    triangles = triangles[flat]
    lines = [
        "ply",
        "format ascii 1.0",
        f"element vertex {3 * len(triangles)}",
        "property float x",
        "property float y",
        "property float z",
        f"element face {len(triangles)}",
        "property list uchar int vertex_indices",
        "end_header",
    ]
    lines += [f"{x:.9g} {y:.9g} {z:.9g}" for x, y, z in triangles.reshape(-1, 3).tolist()]
    lines += [f"3 {3 * k} {3 * k + 1} {3 * k + 2}" for k in range(len(triangles))]
    file.write_text("\n".join(lines) + "\n", encoding="ascii")
    return {"type": "ply", "filename": str(file), "face_normals": True}


def traced(
    shapes: dict[str, dict[str, Any]], spots: Floats, normals: Floats, reflectance: float, samples: int
) -> Traced:
    """Return the illuminance of patches of a diffuse wall.

    Args:
        shapes: the scene.
        spots: points of each patch, m, shape (n, p, 3).
        normals: of the patches, inward, shape (n, 3).
        reflectance: of the wall.
        samples: paths from each point and seed.
    """
    import mitsuba as mi

    patches, each = spots.shape[:2]
    starts = SCALE * (spots + OFF_M * normals[:, None, :]).reshape(-1, 3)
    ways = np.repeat(-normals, each, axis=0)
    meters = {
        f"meter{k}": {
            "type": "radiancemeter",
            "origin": starts[k].tolist(),
            "direction": ways[k].tolist(),
            "film": {"type": "hdrfilm", "width": 1, "height": 1, "rfilter": {"type": "box"}},
        }
        for k in range(len(starts))
    }
    film = {
        "type": "hdrfilm",
        "width": len(starts),
        "height": 1,
        "rfilter": {"type": "box"},
        "component_format": "float32",
        "pixel_format": "luminance",
    }
    scene = mi.load_dict({"type": "scene", **shapes, "meters": {"type": "batch", **meters, "film": film}})
    answers = {}
    few = max(64, samples // 32)
    for name, depth, count, seed in (
        ("total", -1, samples, 1),
        ("total2", -1, samples, 2),
        ("direct", 2, few, 3),
        ("direct2", 2, few, 4),
    ):
        integrator = mi.load_dict({"type": "path", "max_depth": depth, "rr_depth": 12})
        image = np.array(mi.render(scene, integrator=integrator, spp=count, seed=seed))
        answers[name] = math.pi / reflectance * image.reshape(patches, each).mean(axis=1)
    total, direct = (0.5 * (answers[k] + answers[k + "2"]) for k in ("total", "direct"))
    noise = 0.5 * (answers["total"] - answers["total2"])
    direct_noise = 0.5 * (answers["direct"] - answers["direct2"])
    indirect = total - direct
    return Traced(
        total,
        direct,
        float(np.sqrt(np.mean((noise / total) ** 2))),
        float(np.sqrt(np.mean((noise / indirect) ** 2 + (direct_noise / indirect) ** 2))),
    )
