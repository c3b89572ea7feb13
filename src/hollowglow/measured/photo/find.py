"""Which patches of a scene are lit props, each with the zone that its light is gathered from, in a stable order."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hollowglow.measured.photo.scene import Scene

Labels = NDArray[np.int32]

_SIGMAS = 8.0
_LEAST_SHARE = 0.05
_HALO_SHARE = 0.05
# Two peaks are two props where the light between them falls below 40 % of the dimmer one.
_VALLEY = 0.4
_LEAST_SQUARES = 6
_ZONE_RADII = 1.0
_LEAST_ZONE = 3


@dataclass(frozen=True, eq=False)
class FoundProps:
    """Lit props of a scene, on its coarse squares.

    Attributes:
        cores: number of the prop whose lit core a square belongs to, from 1, else 0, shape (rows, columns).
        zones: number of the prop that a square's light is counted for, else 0, same shape; holds the core.
        boxes: of each zone, top, left, below, right, shape (props, 4).
    """

    cores: Labels
    zones: Labels
    boxes: NDArray[np.int64]

    def __len__(self) -> int:
        """Return how many props there are."""
        return len(self.boxes)


def find(scene: Scene) -> FoundProps:
    """Return the lit props of a scene, numbered from 1 in reading order: rows from the top, each from the left.

    A prop is a patch above the noise and above a twentieth of what is typical. Patches that touch are told apart where
    the light between their peaks falls below 40 % of the dimmer one.
    """
    from skimage.measure import label, regionprops
    from skimage.segmentation import expand_labels

    light = scene.coarse
    floor = _SIGMAS * scene.noise
    first = label(light > floor)
    typical = _typical(light, first)
    patches = label(light > max(floor, _HALO_SHARE * typical))
    cores = np.zeros(light.shape, np.int32)
    count = 0
    for region in regionprops(patches):
        top, left, below, right = region.bbox
        for core in _split(light[top:below, left:right], region.image):
            count += 1
            cores[top:below, left:right][core] = count
    kept = _kept(light, cores, count)
    kept = _in_order(kept)
    if not kept.any():
        return FoundProps(kept, kept, np.zeros((0, 4), np.int64))
    radius = float(np.median([np.sqrt(r.area / np.pi) for r in regionprops(kept)]))
    zones = expand_labels(kept, max(_LEAST_ZONE, _ZONE_RADII * radius)).astype(np.int32)
    boxes = np.array([r.bbox for r in regionprops(zones)], np.int64)
    return FoundProps(kept, zones, boxes)


def _typical(light: NDArray[np.float32], labels: Labels) -> float:
    """Return the luminance that half of the lit area's patches reach at their brightest."""
    count = int(labels.max())
    if not count:
        return 0.0
    area = np.bincount(labels.ravel(), minlength=count + 1)[1:]
    lit = labels > 0
    peak = np.zeros(count, np.float32)
    np.maximum.at(peak, labels[lit] - 1, light[lit])
    big = area >= max(_LEAST_SQUARES, 0.05 * float(area.max()))
    order = np.argsort(peak[big])
    weight = np.cumsum(np.sqrt(area[big][order]))
    return float(peak[big][order][np.searchsorted(weight, weight[-1] / 2.0)])


def _split(light: NDArray[np.float32], mask: NDArray[np.bool_]) -> list[NDArray[np.bool_]]:
    """Return the cores within one patch: one, or as many as have a valley between them."""
    from skimage.measure import label
    from skimage.morphology import local_maxima, reconstruction
    from skimage.segmentation import watershed

    inside = np.where(mask, np.maximum(light, 1e-9), 1e-9).astype(np.float64)
    height = np.log(inside)
    drop = -np.log(_VALLEY)
    flooded = reconstruction(height - drop, height, method="dilation")
    markers = label(local_maxima(flooded) & mask)
    if int(markers.max()) < 2:
        return [_core(light, mask)]
    parts = watershed(-height, markers, mask=mask)
    return [_core(light, parts == i) for i in range(1, int(markers.max()) + 1)]


def _core(light: NDArray[np.float32], mask: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Return the part of a patch that is above a quarter of its brightest tenth: its halo is left out."""
    values = light[mask]
    bright = float(values[values >= np.quantile(values, 0.9)].mean())
    core: NDArray[np.bool_] = mask & (light > 0.25 * bright)
    return core


def _kept(light: NDArray[np.float32], cores: Labels, count: int) -> Labels:
    """Return the cores that are large and bright enough to be props; the others become 0."""
    if not count:
        return cores
    numbers = np.arange(1, count + 1)
    area = np.bincount(cores.ravel(), minlength=count + 1)[1:]
    bright = np.bincount(cores.ravel(), weights=light.ravel(), minlength=count + 1)[1:] / np.maximum(area, 1)
    sure = area >= max(_LEAST_SQUARES, 0.02 * float(area.max()))
    usual = float(np.median(bright[sure])) if sure.any() else 0.0
    keep = sure & (bright >= _LEAST_SHARE * usual)
    table = np.zeros(count + 1, np.int32)
    table[1:][keep] = numbers[keep]
    kept: Labels = table[cores]
    return kept


def _in_order(cores: Labels) -> Labels:
    """Return the cores numbered from 1: rows from the top, each from the left."""
    from skimage.measure import regionprops

    regions = regionprops(cores)
    if not regions:
        return cores
    height = float(np.median([r.bbox[2] - r.bbox[0] for r in regions]))
    rows: list[list[tuple[float, float, int]]] = []
    for y, x, number in sorted((*r.centroid, r.label) for r in regions):
        # A row goes on as long as the next prop is not a whole prop below the one before.
        if rows and y - rows[-1][-1][0] <= 0.75 * height:
            rows[-1].append((y, x, number))
        else:
            rows.append([(y, x, number)])
    table = np.zeros(int(cores.max()) + 1, np.int32)
    ordered = [number for row in rows for _, _, number in sorted(row, key=lambda prop: prop[1])]
    table[ordered] = np.arange(1, len(ordered) + 1)
    numbered: Labels = table[cores]
    return numbered
