"""Light that reaches the wall straight from small lights with round beams."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hollowglow.analysis.prop.inside.hollow import Floats, Ints, OpticsError
from hollowglow.analysis.prop.optics.enclosure.exchange import Enclosure
from hollowglow.analysis.prop.optics.enclosure.mesh import Patches
from hollowglow.analysis.prop.optics.enclosure.sight import Sight

_WIDEST_CELL = 0.12
_MOST_PARTS = 128
_EDGE_PARTS = 6
_TOUCHING = 2e-3


@dataclass(frozen=True)
class PointLight:
    """A light that is small against the shell.

    Attributes:
        position_m: where it is, m, shape (3,).
        axis: where its beam points, of any length, shape (3,).
        beam_deg: full width of the beam at half its intensity, more than 0 and less than 180 degrees.
        flux_lm: what it gives in each colour.
    """

    position_m: Floats
    axis: Floats
    beam_deg: float
    flux_lm: tuple[float, ...]

    def __post_init__(self) -> None:
        for what, value in (("position", self.position_m), ("axis", self.axis)):
            vector = np.asarray(value, dtype=np.float64)
            if vector.shape != (3,) or not np.isfinite(vector).all():
                raise OpticsError(f"the {what} of a light needs three finite numbers, but is {value}")
        if not np.asarray(self.axis).any():
            raise OpticsError("the axis of a light has no length")
        beam_exponent(self.beam_deg)
        if not self.flux_lm or not all(math.isfinite(f) and f >= 0.0 for f in self.flux_lm):
            raise OpticsError(f"the flux of a light is {list(self.flux_lm)} lm, but must be 0 or more in each colour")


def beam_exponent(beam_deg: float) -> float:
    """Return m of the beam I = I0 cos^m whose full width at half intensity is `beam_deg`.

    cos^m(beam / 2) = 1/2; 120 degrees gives m = 1, a surface that emits by Lambert's law.

    Args:
        beam_deg: more than 0 and less than 180 degrees.

    Raises:
        OpticsError: any other beam.
    """
    if not 0.0 < beam_deg < 180.0:
        raise OpticsError(f"the beam is {beam_deg:g} degrees wide at half intensity, but must be from 0 to 180")
    return math.log(0.5) / math.log(math.cos(math.radians(beam_deg) / 2.0))


def axial_intensity(flux_lm: float, beam_deg: float) -> float:
    """Return the intensity on the axis of a cos^m beam, cd: I0 = flux (m + 1) / (2 pi)."""
    return flux_lm * (beam_exponent(beam_deg) + 1.0) / (2.0 * math.pi)


@dataclass(frozen=True)
class Arrival:
    """What arrives straight from the lights.

    Attributes:
        illuminance_lx: at each patch and in each colour, wall first, shape (n, c).
        flux_lm: of all lights, shape (c,).
        lights: what it comes from.
        gap: largest share of a light's flux that the quadrature missed or doubled before it was scaled to be whole.
    """

    illuminance_lx: Floats
    flux_lm: Floats
    lights: tuple[PointLight, ...]
    gap: float


def arrival(room: Enclosure, lights: Sequence[PointLight]) -> Arrival:
    """Return what arrives at each patch straight from the lights.

    Args:
        room: the enclosure.
        lights: at least one, all with the same number of colours.

    Raises:
        OpticsError: no lights, unlike colours, or a light outside the shell or inside the carrier.
    """
    if not lights:
        raise OpticsError("there are no lights")
    colours = {len(light.flux_lm) for light in lights}
    if len(colours) > 1:
        raise OpticsError(f"the lights have {sorted(colours)} colours, but all must have the same number")
    check_positions(room, lights)
    per_lumen, gaps = zip(*(direct(room, light) for light in lights), strict=True)
    flux = np.array([light.flux_lm for light in lights])
    return Arrival(np.stack(per_lumen, axis=1) @ flux, flux.sum(axis=0), tuple(lights), max(abs(g) for g in gaps))


def check_positions(room: Enclosure, lights: Sequence[PointLight]) -> None:
    """Raise OpticsError with the distance for a light outside the shell or inside the carrier."""
    places = np.array([light.position_m for light in lights], dtype=np.float64)
    clear = room.shell.clearance(places)
    slack = _TOUCHING * room.shell.reach_m
    off = np.array([_inside(room, p, _unit(light.axis)) for p, light in zip(places, lights, strict=True)])
    buried = room.carrier.holds(off) if room.carrier is not None else np.zeros(len(places), dtype=bool)
    for k, (x, y, z) in enumerate((places * 1e3).tolist()):
        where = f"light {k + 1} at ({x:.1f}, {y:.1f}, {z:.1f}) mm"
        if clear[k] < -slack:
            raise OpticsError(f"{where} is {-clear[k] * 1e3:.1f} mm outside the wall")
        if buried[k]:
            raise OpticsError(f"{where} is inside the {type(room.carrier).__name__.lower()}, or shines along it")


def direct(room: Enclosure, light: PointLight) -> tuple[Floats, float]:
    """Return the illuminance of each patch per lumen of one light, lx/lm, and by how much its sum missed 1 lm.

    Each patch is cut into cells that look small from the light; a cell gets I(theta) times its solid angle, so that the
    whole is right however near the wall is. In a closed shell everything arrives, so the sum is scaled to 1 lm.

    Args:
        room: the enclosure.
        light: the light; its flux is not used.

    Returns:
        The illuminance, shape (n,), and the sum before scaling less 1.
    """
    axis = _unit(light.axis)
    place = _inside(room, np.asarray(light.position_m, dtype=np.float64), axis)
    exponent = beam_exponent(light.beam_deg)
    peak = (exponent + 1.0) / (2.0 * math.pi)
    made = []
    for surface in room.surfaces:
        flux = np.zeros(len(surface.area))
        corners = surface.corners
        apart = np.linalg.norm(surface.centre - place, axis=1)
        extent = np.linalg.norm(corners - corners.mean(axis=1)[:, None, :], axis=2).max(axis=1)
        parts = np.ceil(
            2.0 * extent / (np.maximum(apart - extent, 0.02 * extent) * _WIDEST_CELL * _beam_scale(exponent))
        )
        parts = np.exp2(np.ceil(np.log2(np.clip(parts, 1, _MOST_PARTS)))).astype(np.int64)
        ahead = ((surface.cells(np.arange(len(flux)), 1) - place) @ axis > 0.0).any(axis=(1, 2))
        for count in np.unique(parts[ahead]).tolist():
            rows = np.flatnonzero(ahead & (parts == count))
            flux[rows] = _cast(surface, rows, count, place, axis, exponent, room.sight)
        made.append(peak * flux)
    total = float(sum(f.sum() for f in made))
    scale = 1.0 / total if total > 0.0 else 0.0
    return np.concatenate(made) * scale / room.area, total - 1.0


def _unit(axis: Floats) -> Floats:
    way = np.asarray(axis, dtype=np.float64)
    return way / float(np.linalg.norm(way))


def _beam_scale(exponent: float) -> float:
    return 1.0 / math.sqrt(max(1.0, exponent / 4.0))


def _inside(room: Enclosure, place: Floats, axis: Floats) -> Floats:
    """Return the place of a light moved a little off the wall or the face of the carrier that it touches."""
    slack = _TOUCHING * room.shell.reach_m
    if float(room.shell.clearance(place[None])[0]) < slack:
        k = int(np.argmin(np.linalg.norm(room.wall.centre - place, axis=1)))
        place = place + 2.0 * slack * room.wall.normal[k]
    if room.inner is not None:
        faces = room.inner
        off = place - faces.centre
        above = np.einsum("kj,kj->k", off, faces.normal)
        beside = np.linalg.norm(off - above[:, None] * faces.normal, axis=1)
        reach = np.linalg.norm(faces.corners - faces.centre[:, None, :], axis=2).max(axis=1)
        forward = faces.normal @ axis
        touched = np.flatnonzero((np.abs(above) < slack) & (beside < 1.01 * reach) & (forward > 1e-6))
        if len(touched):
            k = int(touched[np.argmax(forward[touched])])
            place = place + (slack - above[k]) * faces.normal[k]
    return place


def _cast(
    surface: Patches, rows: Ints, parts: int, place: Floats, axis: Floats, exponent: float, sight: Sight
) -> Floats:
    """Return the flux on some patches for a light of unit axial intensity, lm, shape (rows,)."""
    if sight.clear:
        return _cells(surface, rows, parts, place, axis, exponent, None)
    nodes = surface.cells(rows, max(parts, 2)).reshape(-1, 3)
    towards = nodes + 1e-4 * (place - nodes)
    seen = sight.sees(np.broadcast_to(place, towards.shape), towards).reshape(len(rows), -1)
    flux = np.zeros(len(rows))
    whole, mixed = np.flatnonzero(seen.all(axis=1)), np.flatnonzero(seen.any(axis=1) & ~seen.all(axis=1))
    flux[whole] = _cells(surface, rows[whole], parts, place, axis, exponent, None)
    flux[mixed] = _cells(surface, rows[mixed], max(parts, _EDGE_PARTS), place, axis, exponent, sight)
    return flux


def _cells(
    surface: Patches, rows: Ints, parts: int, place: Floats, axis: Floats, exponent: float, sight: Sight | None
) -> Floats:
    if not len(rows):
        return np.zeros(0)
    ray = surface.cells(rows, parts) - place
    length = np.sqrt(np.einsum("...k,...k->...", ray, ray))
    a, b = (ray[:, :-1, :-1], length[:, :-1, :-1]), (ray[:, :-1, 1:], length[:, :-1, 1:])
    c, d = (ray[:, 1:, 1:], length[:, 1:, 1:]), (ray[:, 1:, :-1], length[:, 1:, :-1])
    solid = _solid_angle(a, b, c) + _solid_angle(a, c, d)
    middle = 0.25 * (a[0] + b[0] + c[0] + d[0])
    cosine = (middle @ axis) / np.sqrt(np.einsum("...k,...k->...", middle, middle))
    value = np.where(cosine > 0.0, np.maximum(cosine, 1e-12) ** exponent * np.maximum(solid, 0.0), 0.0)
    if sight is not None:
        at = np.nonzero(value > 0.0)
        spots = place + middle[at] * (1.0 - 1e-4)
        value[at] *= sight.sees(np.broadcast_to(place, spots.shape), spots)
    total: Floats = value.sum(axis=(1, 2))
    return total


def _solid_angle(a: tuple[Floats, Floats], b: tuple[Floats, Floats], c: tuple[Floats, Floats]) -> Floats:
    """Return the solid angle of triangles, sr, positive where their corners run around a normal towards the eye.

    Source: Van Oosterom and Strackee, IEEE Transactions on Biomedical Engineering 30 (1983), 125.

    Args:
        a: first corners as seen from the eye, m, shape (..., 3), and their distances, shape (...).
        b: second corners.
        c: third corners.
    """
    (p, lp), (q, lq), (r, lr) = a, b, c
    cross_x = q[..., 1] * r[..., 2] - q[..., 2] * r[..., 1]
    cross_y = q[..., 2] * r[..., 0] - q[..., 0] * r[..., 2]
    cross_z = q[..., 0] * r[..., 1] - q[..., 1] * r[..., 0]
    triple = p[..., 0] * cross_x + p[..., 1] * cross_y + p[..., 2] * cross_z
    pq, qr, rp = (
        m[..., 0] * n[..., 0] + m[..., 1] * n[..., 1] + m[..., 2] * n[..., 2] for m, n in ((p, q), (q, r), (r, p))
    )
    angle: Floats = -2.0 * np.arctan2(triple, lp * lq * lr + pq * lr + qr * lp + rp * lq)
    return angle


def at_points(room: Enclosure, lights: Sequence[PointLight], spots: Floats, normals: Floats) -> Floats:
    """Return the illuminance at points of the wall per lumen of each light, lx/lm: I(theta) cos(incidence) / r².

    Args:
        room: the enclosure.
        lights: their flux is not used.
        spots: points of the wall, m, shape (k, 3).
        normals: unit normals there, inward, shape (k, 3).

    Returns:
        Illuminances without any light thrown back, shape (k, lights).
    """
    made = np.zeros((len(spots), len(lights)))
    for column, light in enumerate(lights):
        axis = _unit(light.axis)
        place = _inside(room, np.asarray(light.position_m, dtype=np.float64), axis)
        way = spots - place
        square = np.einsum("kj,kj->k", way, way)
        ahead, arriving = way @ axis, -np.einsum("kj,kj->k", way, normals)
        lit = np.flatnonzero((ahead > 0.0) & (arriving > 0.0))
        if not room.sight.clear:
            ends = spots[lit] - 1e-4 * way[lit]
            lit = lit[room.sight.sees(np.broadcast_to(place, ends.shape), ends)]
        exponent = beam_exponent(light.beam_deg)
        cosine = ahead[lit] / np.sqrt(square[lit])
        made[lit, column] = (exponent + 1.0) / (2.0 * math.pi) * cosine**exponent * arriving[lit] / square[lit] ** 1.5
    return made
