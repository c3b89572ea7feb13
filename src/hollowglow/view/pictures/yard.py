"""From a plan to the picture of the whole display at its places, by day and at night."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import numpy as np

from hollowglow.analysis.site.placement import scaling_of
from hollowglow.analysis.site.placement.spacing import width_m
from hollowglow.assembly.tables import Floats
from hollowglow.draw.sheet.records import Drawing
from hollowglow.draw.sheet.svg import to_svg
from hollowglow.draw.yard import PIXELS_A_MM, Strand, YardBackdrop, YardMark, YardPicture, YardProp, yard
from hollowglow.file.reading.drawn_lengths import hung_line
from hollowglow.file.store.writing import shown, whole
from hollowglow.messages.refusal import Refusal
from hollowglow.physics.colour import mix_xyz
from hollowglow.plan import Plan
from hollowglow.quantity.reader import Units
from hollowglow.view.open_forms import LINE_WORDS, positions

# A prop without a shell is drawn this wide.
_POINT_M = 0.02
_LONGEST_PX = 1600
# As wide as lets its words be read on a page that it fills.
_SCREEN_MM = 200.0
# A photograph is read no finer: the warped picture could not show it.
_MOST_PX = 3200
_NO_PLACE = "No prop of this display has a place. Give a string place: {line: [[0 m, 2 m], [4 m, 2 m]]}."


def prop_xyz(plan: Plan) -> Floats:
    """Return X, Y, Z of every prop's mean luminance, cd/m², at full white, the file's levels and the voltages that reach it.

    NaN where it is not known; shape (props, 3).
    """
    assembly, network = plan.assembly, plan.assembly.network
    count = len(assembly.props.kind)
    share = plan.power.relative * network.duty[network.load_characteristic]
    nodes = np.maximum(np.bincount(assembly.load_prop, weights=network.load_count, minlength=count), 1.0)
    found = np.full((count, 3), np.nan)
    columns = [
        np.bincount(assembly.load_prop, weights=network.load_count * c, minlength=count) / nodes for c in share.T
    ]
    light = np.stack(columns, axis=1) if columns else np.zeros((count, 0))
    for row, kind in enumerate(plan.optics.kinds):
        own = assembly.props.kind == row
        if kind is not None and own.any():
            colours = len(kind.mean_cd_m2)
            found[own] = mix_xyz(light[own, :colours] * kind.mean_cd_m2, assembly.kinds.xy[row, :colours])
    return found


def yard_picture(plan: Plan, behind: YardBackdrop | None = None, units: Units = "both") -> YardPicture | None:
    """Return what a yard picture with a scale in `units` is made from, None where no prop has a place."""
    assembly, display, spots = plan.assembly, plan.assembly.display, plan.placed.spots_m
    own = np.flatnonzero(np.isfinite(spots[:, 0]))
    if not len(own):
        return None
    xyz = prop_xyz(plan)
    radii = [max(_POINT_M, width_m(assembly, name)) / 2.0 for name in assembly.kinds.names]
    drawn = tuple(
        YardProp(
            float(spots[row, 0]),
            float(spots[row, 1]),
            radii[int(assembly.props.kind[row])],
            _known(xyz[row].tolist()),
        )
        for row in own.tolist()
    )
    strands = tuple(
        Strand(name, way_m(plan, row))
        for row, name in enumerate(assembly.strings.names)
        if display.strings[name].place is not None
    )
    marks = tuple(
        YardMark(name, one.at[0], one.at[1], supply)
        for table, supply in ((display.supplies, True), (display.controllers, False))
        for name, one in table.items()
        if one.at is not None
    )
    return YardPicture(
        display.display,
        drawn,
        strands,
        marks,
        behind,
        plan=display.place.plane == "plan",
        viewing_m=display.viewing,
        units=units,
    )


def rows_picture(plan: Plan) -> YardPicture:
    """Return a yard picture of a display without places: its strings one below the other, broken into rows."""
    assembly = plan.assembly
    xyz = prop_xyz(plan)
    radii = [max(_POINT_M, width_m(assembly, name)) / 2.0 for name in assembly.kinds.names]
    apart = 4.0 * max(radii, default=_POINT_M)
    count = len(assembly.props.kind)
    # Rows as long as make a page of them that is three times as wide as high.
    longest = max(10, math.ceil(math.sqrt(3.0 * count)))
    spots: list[YardProp] = []
    strands: list[Strand] = []
    row = 0
    for number, name in enumerate(assembly.strings.names):
        first, last = int(assembly.strings.first_prop[number]), int(assembly.strings.first_prop[number + 1])
        for begin in range(first, last, longest):
            end = min(begin + longest, last)
            places = [((at - begin) * apart, -row * apart) for at in range(begin, end)]
            for at, (x, y) in zip(range(begin, end), places, strict=True):
                known = math.isfinite(xyz[at, 1])
                light = (float(xyz[at, 0]), float(xyz[at, 1]), float(xyz[at, 2])) if known else None
                spots.append(YardProp(x, y, radii[int(assembly.props.kind[at])], light))
            strands.append(Strand(name if begin == first else "", tuple(places)))
            row += 1
    return YardPicture(assembly.display.display, tuple(spots), tuple(strands), rows=True)


def night_drawing(plan: Plan, folder: Path | None = None) -> Drawing:
    """Return the display at night: at its places, in rows where it has none, without its backdrop where that is not there."""
    try:
        made = yard_picture(plan, None if folder is None else backdrop(plan, folder))
    except Refusal:
        made = yard_picture(plan)
    return yard(rows_picture(plan) if made is None else made, night=True, width_mm=_SCREEN_MM)


def pictures_of_yard(plan: Plan, folder: Path | None = None) -> Iterator[tuple[str, Drawing]]:
    """Yield (name, picture) of the whole display: by day where it has places, at night where it has props."""
    if plan.placed.any:
        try:
            yield "yard", yard_drawing(plan, night=False, folder=folder)
        except Refusal:  # a backdrop that cannot be read is left out, as at night
            yield "yard", yard_drawing(plan, night=False)
    if len(plan.assembly.props.kind):
        yield "night", night_drawing(plan, folder)


def way_m(plan: Plan, row: int) -> tuple[tuple[float, float], ...]:
    """Return the places that the cable of a string passes: its line between its first and last prop, else its props."""
    assembly = plan.assembly
    string = assembly.display.strings[assembly.strings.names[row]]
    spots = plan.placed.spots_m[assembly.strings.first_prop[row] : assembly.strings.first_prop[row + 1]]
    place = string.place
    if place is None or place.line is None or place.moved:
        return tuple((x, y) for x, y, _ in spots.tolist())
    from hollowglow.physics import lines

    line, _ = hung_line(place, assembly.display.place.plane)
    marks = lines.marks_m(line)
    stops = lines.stops_m(float(marks[-1]), count=len(spots), pitch_m=place.pitch, start_m=place.start)
    if place.sag is None:
        inner = marks[(marks > stops[0]) & (marks < stops[-1])]
        way = lines.along(line, np.unique(np.concatenate([stops, inner])))
    else:
        way = line
    return tuple((x, y) for x, y, _ in way.tolist())


def backdrop(plan: Plan, folder: Path) -> YardBackdrop | None:
    """Return the backdrop of a plan made true, None where it has none.

    Raises:
        Refusal: when the picture cannot be read, or its corners are no rectangle.
    """
    stated = plan.assembly.display.place.backdrop
    if stated is None:
        return None
    path = folder / stated.picture
    from PIL import Image, ImageOps, UnidentifiedImageError

    try:
        with Image.open(path) as opened:
            picture = ImageOps.exif_transpose(opened).convert("RGB")
    except FileNotFoundError:
        raise Refusal(
            f"{shown(path)}: found no file of this name, expected the backdrop. Check place.backdrop."
        ) from None
    except (OSError, UnidentifiedImageError, ValueError, Image.DecompressionBombError) as error:
        raise Refusal(f"{shown(path)}: the backdrop cannot be read ({error}).") from None
    wide, high = picture.size
    shrunk = min(1.0, _MOST_PX / max(wide, high))
    if shrunk < 1.0:
        picture = picture.resize((round(wide * shrunk), round(high * shrunk)))
    pixels = np.asarray(picture, dtype=np.float64) / 255.0
    try:
        scaling = scaling_of(stated)
    except ValueError as error:
        raise Refusal(f"place.backdrop: {error}.") from None
    from skimage.transform import ProjectiveTransform, warp

    left, right, bottom, top = _extent(plan, stated.corners, scaling.places_m, wide, high)
    step = max(right - left, top - bottom) / _LONGEST_PX
    columns, rows = max(1, round((right - left) / step)), max(1, round((top - bottom) / step))
    # From a pixel of the new picture to its place, and on to the old one.
    to_place = np.array([[step, 0.0, left + step / 2.0], [0.0, -step, top - step / 2.0], [0.0, 0.0, 1.0]])
    whole_way = np.diag([shrunk, shrunk, 1.0]) @ np.linalg.inv(scaling.matrix) @ to_place
    true = warp(pixels, ProjectiveTransform(whole_way), output_shape=(rows, columns), order=1, mode="constant")
    made = np.rint(255.0 * np.clip(true, 0.0, 1.0)).astype(np.uint8)
    return YardBackdrop(made, left, right, bottom, top)


def _extent(plan: Plan, corners: object, places_m: object, wide: int, high: int) -> tuple[float, float, float, float]:
    """Return the edges of what of the picture is shown, m: all of it by scale, of a wall what lies around the display."""
    assert callable(places_m)
    edges = places_m([[0.0, 0.0], [wide, 0.0], [wide, high], [0.0, high]])
    if corners is None:
        low, top = edges.min(axis=0), edges.max(axis=0)
    else:
        stated = places_m(corners)
        spots = plan.placed.spots_m[np.isfinite(plan.placed.spots_m[:, 0]), :2]
        around = np.concatenate([stated, spots])
        pad = 0.1 * float((around.max(axis=0) - around.min(axis=0)).max())
        low, top = around.min(axis=0) - pad, around.max(axis=0) + pad
    return float(low[0]), float(top[0]), float(low[1]), float(top[1])


def yard_drawing(
    plan: Plan,
    *,
    night: bool,
    folder: Path | None = None,
    behind: YardBackdrop | None = None,
    pixels_a_mm: float = PIXELS_A_MM,
    units: Units = "both",
) -> Drawing:
    """Return the yard picture of a plan.

    Args:
        plan: of the display.
        night: lit at night, or on paper.
        folder: where the display file is, for its backdrop; left out without it.
        behind: the backdrop itself, where it was read before.
        pixels_a_mm: how fine the night is drawn.
        units: those of the scale.

    Raises:
        Refusal: when no prop has a place, or the backdrop cannot be read.
    """
    made = yard_picture(plan, behind if folder is None else backdrop(plan, folder), units)
    if made is None:
        raise Refusal(_NO_PLACE)
    return yard(made, night=night, pixels_a_mm=pixels_a_mm)


def positions_drawing(plan: Plan) -> Drawing:
    """Return where every prop is on paper: at its place, or seen from above along lines where the file states no places."""
    if plan.placed.any:
        return yard_drawing(plan, night=False)
    assembly, found = plan.assembly, positions(plan)
    xyz = prop_xyz(plan)
    radii = [max(_POINT_M, width_m(assembly, name)) / 2.0 for name in assembly.kinds.names]
    spots = tuple(
        YardProp(x, y, radii[int(kind)], _known(light))
        for (x, y, _), kind, light in zip(found.tolist(), assembly.props.kind, xyz.tolist(), strict=True)
    )
    first = assembly.strings.first_prop.tolist()
    strands = tuple(
        Strand(name, tuple((x, y) for x, y, _ in found[a:b].tolist()))
        for name, (a, b) in zip(assembly.strings.names, pairwise(first), strict=True)
    )
    return yard(YardPicture(f"{assembly.display.display}, {LINE_WORDS}", spots, strands, plan=True))


def _known(xyz: list[float]) -> tuple[float, float, float] | None:
    x, y, z = xyz
    return (x, y, z) if math.isfinite(y) else None


def write_yard(plan: Plan, path: Path, *, night: bool, folder: Path | None = None) -> None:
    """Write the yard picture as SVG; raises Refusal as `yard_drawing` does, or where it cannot be written."""
    drawing = yard_drawing(plan, night=night, folder=folder)
    with whole(path) as stream:
        stream.write(to_svg(drawing))
