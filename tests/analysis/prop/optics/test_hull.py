"""The convex hull against that of scipy (Qhull)."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial import ConvexHull

from hollowglow.analysis.prop.inside.hollow import convex_hull


@pytest.mark.parametrize("seed", range(12))
def test_the_hull_has_the_corners_and_the_area_of_qhull(seed: int) -> None:
    rng = np.random.default_rng(seed)
    points = rng.normal(size=(int(rng.integers(3, 60)), 2))
    hull, theirs = convex_hull(points), ConvexHull(points)
    assert {tuple(p) for p in hull.tolist()} == {tuple(p) for p in points[theirs.vertices].tolist()}
    x, y = hull.T
    area = 0.5 * float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)))
    assert area == pytest.approx(theirs.volume, rel=1e-12)  # in the plane Qhull calls the area a volume
