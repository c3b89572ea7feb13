"""Holes in the carrier: each face drilled on its own template, and the webs that are left between them."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hollowglow.analysis.prop.inside.carrier import Body, CarrierFace
from hollowglow.analysis.prop.inside.layout import LightSize, Places
from hollowglow.analysis.prop.making.bores import drills

Floats = NDArray[np.float64]

# How much a bore may differ from the body that is pushed into it: common practice, no source. Bores sized by eye hold
# a 12 mm light that is pushed in, so a bore of the body's own diameter or a little less must be admitted.
PUSH_FIT_M = (-0.0002, 0.0005)
# A thinner web breaks when a light is pushed in; an estimate of our own.
LEAST_WEB_M = 0.002
WEB_PER_HOLE = 0.25


@dataclass(frozen=True, slots=True)
class Bore:
    """What the bore of a light is made with.

    Attributes:
        diameter_m: the light's diameter and the stated fit, m.
        metric, inch: the nearest drills.
        metric_fit_m, inch_fit_m: what each drill's hole is wider than the light, m.
    """

    diameter_m: float
    metric: drills.Drill
    inch: drills.Drill
    metric_fit_m: float
    inch_fit_m: float

    @property
    def glued(self) -> tuple[str, ...]:
        """Return the drills whose hole is too loose for a light that is only pushed in."""
        both = ((self.metric, self.metric_fit_m), (self.inch, self.inch_fit_m))
        return tuple(drill.name for drill, fit in both if fit > PUSH_FIT_M[1] + 1e-9)


@dataclass(frozen=True, slots=True)
class Hole:
    """One light on a face: its number from 1 and its centre along u and v from the middle of the face, m."""

    light: int
    u_m: float
    v_m: float


@dataclass(frozen=True, slots=True)
class Web:
    """The thinnest piece between a hole and another hole, or the edge where `second` is None; lights from 1."""

    width_m: float
    first: int
    second: int | None


@dataclass(frozen=True)
class FaceHoles:
    """What is marked out on one face.

    Attributes:
        face: which one.
        holes: where.
        drilled: whether the holes are bored; else they show where flat modules lie.
        web: the thinnest web on the face, None where nothing is bored.
    """

    face: CarrierFace
    holes: tuple[Hole, ...]
    drilled: bool
    web: Web | None


@dataclass(frozen=True)
class CarrierHoles:
    """All of a carrier's holes.

    Attributes:
        bore: what a light's bore is made with; None for flat modules, which lie on the face.
        templates: one for each face that carries lights, in the order in which they are drilled.
        least_web_m: what a web must at least be wide, m.
    """

    bore: Bore | None
    templates: tuple[FaceHoles, ...]
    least_web_m: float


def bore_for(body_m: float, fit_m: float) -> Bore:
    """Return what a light's bore is made with.

    Args:
        body_m: diameter of the light's body, m.
        fit_m: what the bore is wider, m; negative for a press fit.

    Returns:
        The wanted diameter and the nearest drills that the light can still be pushed through.
    """
    wanted = body_m + fit_m
    # A fit stated tighter than is usual is the builder's own.
    least = body_m + min(PUSH_FIT_M[0], fit_m)
    metric, inch = drills.metric(wanted, least), drills.inch(wanted, least)
    return Bore(wanted, metric, inch, metric.diameter_m - body_m, inch.diameter_m - body_m)


def least_web_m(hole_m: float) -> float:
    """Return what a web beside a hole must at least be wide, m: 2 mm, or a quarter of the hole (an estimate)."""
    return max(LEAST_WEB_M, WEB_PER_HOLE * hole_m)


def carrier_holes(body: Body, placed: Places, size: LightSize, fit_m: float) -> CarrierHoles:
    """Return the holes of a carrier.

    Args:
        body: the carrier in place.
        placed: where the lights sit.
        size: of a light's body.
        fit_m: what a bore is wider than the body, m.
    """
    bore = bore_for(size.diameter_m, fit_m) if size.bored else None
    diameter = bore.diameter_m if bore is not None else size.diameter_m
    templates = []
    for name in dict.fromkeys(face for face in placed.faces if face is not None):
        face = body.faces[name]
        here = [i for i, own in enumerate(placed.faces) if own == name]
        holes = tuple(Hole(i + 1, float(placed.spots[i, 0]), float(placed.spots[i, 1])) for i in here)
        drilled = bore is not None and not (name == "rim" and face.height_m < diameter)
        web = None
        if drilled:
            web = thinnest_web(face, placed.spots[here], diameter, [i + 1 for i in here])
            if face.through:
                web = _between_faces(web, face, body, placed, here, diameter)
        templates.append(FaceHoles(face, holes, drilled, web))
    return CarrierHoles(bore, tuple(templates), least_web_m(diameter))


def thinnest_web(face: CarrierFace, spots: Floats, hole_m: float, numbers: list[int]) -> Web:
    """Return the thinnest web on a face.

    Args:
        face: its form; a rim has edges at its two ends only and closes on itself.
        spots: centres of the holes, m, shape (n, 2).
        hole_m: their diameter, m.
        numbers: the light of each hole, for the answer.

    Returns:
        The thinnest web; its width is negative where holes overlap or cross the edge.
    """
    to_edge = _to_edge(face, spots) - hole_m / 2.0
    at = int(to_edge.argmin())
    web = Web(float(to_edge[at]), numbers[at], None)
    if len(spots) > 1:
        step = np.abs(spots[:, None] - spots[None])
        if face.outline == "rim":
            step[..., 0] = np.minimum(step[..., 0], face.width_m - step[..., 0])
        apart = np.hypot(step[..., 0], step[..., 1]) - hole_m
        np.fill_diagonal(apart, np.inf)
        i, j = divmod(int(apart.argmin()), len(spots))
        # Of equal webs that between holes is told.
        if float(apart[i, j]) <= web.width_m + 1e-9:
            web = Web(float(apart[i, j]), numbers[min(i, j)], numbers[max(i, j)])
    return web


def _to_edge(face: CarrierFace, spots: Floats) -> Floats:
    if face.outline == "round":
        result: Floats = face.width_m / 2.0 - np.hypot(spots[:, 0], spots[:, 1])
        return result
    across = np.full(len(spots), math.inf) if face.outline == "rim" else face.width_m / 2.0 - np.abs(spots[:, 0])
    return np.minimum(across, face.height_m / 2.0 - np.abs(spots[:, 1]))


def _between_faces(web: Web, face: CarrierFace, body: Body, placed: Places, here: list[int], hole_m: float) -> Web:
    """Return the thinnest web of a sheet, whose other face's bores come out on this one."""
    rows = [i for i, own in enumerate(placed.faces) if own is not None and i not in here and body.faces[own].through]
    for i in rows:
        other = body.faces[placed.faces[i] or face.name]
        centre = other.centre + placed.spots[i, 0] * other.u + placed.spots[i, 1] * other.v - face.centre
        seen = np.array([centre @ face.u, centre @ face.v])
        apart = np.hypot(*(placed.spots[here] - seen).T) - hole_m
        j = int(apart.argmin())
        if float(apart[j]) < web.width_m - 1e-9:
            first, second = sorted((here[j] + 1, i + 1))
            web = Web(float(apart[j]), first, second)
    return web
