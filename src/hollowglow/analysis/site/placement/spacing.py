"""How far apart: when the eye sees props one by one, and when they run together into a line."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from hollowglow.assembly import Assembly
from hollowglow.assembly.tables import Floats

# What foveal vision of 20/20 resolves.
ARCMIN = math.pi / 10800.0


@dataclass(frozen=True, slots=True)
class Spacing:
    """How the props of one string look from the viewing distance.

    Attributes:
        string: its name.
        pitch_m: distance of neighbours from middle to middle, the median; from the least and to the greatest.
        least_m, most_m: the least and the greatest of them.
        size_m: how wide a prop is, the widest of the string; 0 where no shell is stated.
        gap_arcmin: the dark between neighbours as seen from the viewing distance, arcminutes; below 0 they overlap.
        line_from_m: from here on they run together; 0 where they touch.
        line_pitch_m: pitch below which they do so at the viewing distance.
    """

    string: str
    pitch_m: float
    least_m: float
    most_m: float
    size_m: float
    gap_arcmin: float
    line_from_m: float
    line_pitch_m: float

    @property
    def one_by_one(self) -> bool:
        """Return whether the eye still parts neighbours at the viewing distance."""
        return self.gap_arcmin > 1.0


def gap_arcmin(pitch_m: float, size_m: float, viewing_m: float) -> float:
    """Return the angle of the dark between two neighbours, arcminutes.

    Args:
        pitch_m: distance from middle to middle.
        size_m: width of each.
        viewing_m: distance of the viewer, above 0.
    """
    return math.atan2(pitch_m - size_m, viewing_m) / ARCMIN


def line_from_m(pitch_m: float, size_m: float) -> float:
    """Return the distance from which neighbours run together: where the dark between them is one arcminute wide, m.

    Source: one arcminute, what foveal vision of 20/20 resolves.
    """
    return max(0.0, pitch_m - size_m) / math.tan(ARCMIN)


def line_pitch_m(size_m: float, viewing_m: float) -> float:
    """Return the pitch below which props of a size run together at a distance, m; the inverse of `line_from_m`."""
    return size_m + viewing_m * math.tan(ARCMIN)


def width_m(assembly: Assembly, kind: str) -> float:
    """Return how wide a prop of a kind looks from the front, m, 0 where no shell is stated."""
    shell = assembly.display.kinds[kind].shell
    if shell is None:
        return 0.0
    if shell.profile is not None:
        return 2.0 * max(radius for radius, _ in shell.profile)
    return max(shell.diameter or 0.0, shell.width or 0.0)


def spacing(assembly: Assembly, string: int, spots: Floats) -> Spacing | None:
    """Return how the props of a string (by row), at their spots, shape (n, 3), look; None where there is one prop."""
    if len(spots) < 2:
        return None
    apart = np.linalg.norm(np.diff(spots, axis=0), axis=1)
    first, last = assembly.strings.first_prop[string], assembly.strings.first_prop[string + 1]
    size = max(width_m(assembly, assembly.kinds.names[k]) for k in np.unique(assembly.props.kind[first:last]).tolist())
    pitch, viewing = float(np.median(apart)), assembly.display.viewing
    return Spacing(
        string=assembly.strings.names[string],
        pitch_m=pitch,
        least_m=float(apart.min()),
        most_m=float(apart.max()),
        size_m=size,
        gap_arcmin=gap_arcmin(pitch, size, viewing),
        line_from_m=line_from_m(pitch, size),
        line_pitch_m=line_pitch_m(size, viewing),
    )
