"""From the kinds of a plan to their pictures: lit at night, cut open, intensity all round, drill templates."""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from hollowglow.analysis.prop.making import KindMaking
from hollowglow.analysis.prop.optics import KindLight, polar_curve, view
from hollowglow.analysis.prop.optics.seen import blurred
from hollowglow.assembly.tables import Floats
from hollowglow.draw.prop.cut import holds
from hollowglow.draw.prop.glow import GlowPicture, glow_row
from hollowglow.draw.prop.polar import PolarCurve, polar
from hollowglow.draw.prop.section import CutHole, CutLight, Section, room_in, section
from hollowglow.draw.prop.template import DrillHole, FaceOutline, FaceTemplate, drill_template
from hollowglow.draw.sheet.records import Drawing
from hollowglow.draw.sheet.svg import to_svg
from hollowglow.file.model.parts import DEFAULT_BEAM_DEG
from hollowglow.file.store.writing import whole
from hollowglow.plan import Plan
from hollowglow.quantity.reader import Units
from hollowglow.quantity.words import percent
from hollowglow.search.fill import Ranking
from hollowglow.search.fill.rank import best

# The pictures are finer than those that figures are read from.
PIXELS = 160
_MOST_FILLS = 5
_POLAR_STEP_DEG = 5.0


def glow_picture(
    name: str, kind: KindLight, xy: Floats, hangs: str, viewing_m: float, *, level: Floats | float = 1.0, note: str = ""
) -> GlowPicture:
    """Return how a kind looks at a level to a viewer level with it, as it hangs, and as the eye resolves it.

    Args:
        name: what stands beneath.
        kind: its light at full duty.
        xy: CIE 1931 chromaticity of each colour, shape (c, 2).
        hangs: which way up.
        viewing_m: distance of the viewer, m.
        level: of the kind, or the duty of each of its colours, 0 to 1.
        note: a line beneath the figures.
    """
    glow = kind.glow
    # A quarter turn shows lights on both sides; a little from below, as one looks up at what hangs.
    towards = np.array([1.0, -0.35, -0.2 if hangs != "tip down" else 0.2])
    shell = glow.room.shell
    if shell.size[0] > shell.size[1]:
        towards = towards[[1, 0, 2]]
    if hangs == "on its side":
        towards = towards[[2, 0, 1]]
    seen = view(glow.room, towards, PIXELS)
    picture = level * seen.picture(glow)
    eye = np.stack([blurred(p, seen.shown, seen.pixel_m, viewing_m) for p in np.moveaxis(picture, 2, 0)], axis=2)
    if hangs == "tip down":
        picture, eye = picture[::-1, ::-1], eye[::-1, ::-1]
    figures = kind.settled.appearance
    return GlowPicture(
        name=name,
        luminance_cd_m2=picture,
        xy=tuple((float(x), float(y)) for x, y in xy[: picture.shape[2]]),
        pixel_m=seen.pixel_m,
        mean_cd_m2=float((level * kind.mean_cd_m2).sum()),
        uniformity=figures.uniformity,
        hot_spot=figures.hot_spot,
        seen_cd_m2=eye,
        note=note,
    )


def glow_of_kinds(plan: Plan, only: str | None = None, units: Units = "both") -> Drawing | None:
    """Return all kinds whose light is known, or only one, side by side at one exposure, at the levels of the file.

    Lengths are told in `units`, as in every picture here.
    """
    assembly = plan.assembly
    made = [
        glow_picture(
            name,
            kind,
            assembly.kinds.xy[row],
            assembly.display.kinds[name].hangs,
            assembly.display.viewing,
            level=assembly.network.duty[row, : len(kind.mean_cd_m2)],
            note=f"level {percent(assembly.display.level(name))}",
        )
        for row, (name, kind) in enumerate(zip(assembly.kinds.names, plan.optics.kinds, strict=True))
        if kind is not None and assembly.network.duty[row].any() and only in (None, name)
    ]
    if not made:
        return None
    title = f"{only or assembly.display.display}: {'' if only else 'kinds '}at full white"
    return glow_row(made, title=title, viewing_m=assembly.display.viewing, units=units)


def polar_of(plan: Plan, row: int) -> Drawing | None:
    """Return the intensity of a kind (by row) around two upright circles, at its level."""
    kind = plan.optics.kinds[row]
    if kind is None:
        return None
    duty = plan.assembly.network.duty[row, : len(kind.mean_cd_m2)]
    level = float(kind.mean_cd_m2 @ duty) / float(kind.mean_cd_m2.sum())
    curves = []
    for azimuth in (0.0, 90.0):
        angle, around = polar_curve(kind.glow, azimuth_deg=azimuth, step_deg=_POLAR_STEP_DEG)
        curves.append(PolarCurve(f"seen from {azimuth:g}°", tuple(angle.tolist()), tuple((level * around).tolist())))
    name = plan.assembly.kinds.names[row]
    return polar(curves, title=f"{name}: intensity all around, base down")


def section_of(plan: Plan, row: int, units: Units = "both") -> Drawing | None:
    """Return a kind (by row) cut open as it hangs, None without a shell that has room inside."""
    made = plan.making.kinds[row]
    if made.frame is None or made.kind.shell is None:
        return None
    display = plan.assembly.display
    light = display.parts[made.kind.fill.light].light
    assert light is not None  # references are checked when the file is read
    beam = min(light.beam or DEFAULT_BEAM_DEG, 179.0)
    across = 1 if made.frame.deep else 0
    profile = made.frame.outline_m(across)
    room = room_in(profile, made.frame.wall_m)
    if room is None:
        return None
    lights = tuple(
        CutLight(
            (float(at[across]), float(at[2])),
            (float(axis[across]), float(axis[2])) if abs(axis[across]) + abs(axis[2]) > 1e-6 else (0.0, 1.0),
            made.size.diameter_m,
            made.size.depth_m,
            beam,
            in_cut=bool(abs(at[1 - across]) < made.size.diameter_m / 2.0 and abs(axis[1 - across]) < 0.5),
        )
        for at, axis in zip(made.placed.positions, made.placed.axes, strict=True)
        if holds(room, (float(at[across]), float(at[2])))
    )
    outside = len(made.placed.positions) - len(lights)
    return section(
        Section(
            title=f"{made.name}: {made.kind.fill.count} × {made.kind.fill.light}",
            profile_m=profile,
            wall_m=made.frame.wall_m,
            hangs=made.kind.hangs,
            lights=lights,
            carriers_m=_carrier(made, across),
            carrier_label="" if made.kind.carrier is None else f"{made.kind.carrier.shape} carrier",
            holes=tuple(_holes(made, across)),
            hook_label=made.kind.hook or "",
            notes=(f"Not drawn: {outside:,} light{'s' if outside > 1 else ''} outside of the room in the shell.",)
            if outside
            else (),
            units=units,
        )
    )


def _carrier(made: KindMaking, across: int) -> tuple[tuple[tuple[float, float], ...], ...]:
    if made.body is None:
        return ()
    half = made.body.half_m[across]
    low, high = made.body.base_m, made.body.top_m
    return (((-half, low), (half, low), (half, high), (-half, high)),)


def _holes(made: KindMaking, across: int) -> Iterator[CutHole]:
    cables = made.cables
    if cables is not None and cables.points_m is not None and cables.hole_m is not None:
        what = "gland" if cables.gland is not None else "cable hole"
        for point in cables.points_m.tolist():
            reach = math.hypot(point[0], point[1]) * (1.0 if point[across] >= 0.0 else -1.0)
            yield CutHole((reach, point[2]), cables.hole_m, what, "gland" if cables.gland else "hole")
    drain = made.drain
    if drain.point_m is not None:
        point = drain.point_m.tolist()
        yield CutHole((point[across], point[2]), drain.diameter_m, "drain", "drain")


def templates_of(plan: Plan, row: int, units: Units = "both") -> Iterator[tuple[str, Drawing]]:
    """Yield (face, sheet) of every drill template of a kind (by row) at true size."""
    made = plan.making.kinds[row]
    if made.carrier is None or made.carrier.bore is None:
        return
    bore = made.carrier.bore
    mm, inch = bore.metric.name, bore.inch.name
    drills: dict[Units, tuple[str, ...]] = {"metric": (mm,), "us": (inch,), "both": (mm, inch)}
    for template in made.carrier.templates:
        if not template.drilled:
            continue
        face = template.face
        page = FaceTemplate(
            title=f"{made.name}: carrier, face {face.name}",
            face=FaceOutline(face.width_m, face.height_m, round=face.outline == "round"),
            holes=tuple(DrillHole((h.u_m, h.v_m), bore.diameter_m) for h in template.holes),
            least_web_m=made.carrier.least_web_m,
            notes=(f"drill {' or '.join(drills[units])}",),
            units=units,
        )
        sheets = drill_template(page)
        plain = {"+": "plus-", "-": "minus-"}.get(face.name[0], face.name[0]) + face.name[1:]
        for number, sheet in enumerate(sheets, 1):
            yield plain if len(sheets) == 1 else f"{plain}-{number}", sheet


def pictures_of_kinds(plan: Plan) -> Iterator[tuple[str, Drawing]]:
    """Yield (file stem, picture) of everything that is drawn of the kinds."""
    glow = glow_of_kinds(plan)
    if glow is not None:
        yield "glow", glow
    for row, name in enumerate(plan.assembly.kinds.names):
        for stem, drawing in (("section", section_of(plan, row)), ("polar", polar_of(plan, row))):
            if drawing is not None:
                yield f"{stem}-{name}", drawing
        for face, sheet in templates_of(plan, row):
            yield f"template-{name}-{face}", sheet


def fill_row(ranking: Ranking) -> Drawing:
    """Return how the best candidates would glow, side by side at one exposure and 100 % level, with that of the file."""
    comparison = ranking.comparison
    made = []
    for one in best(ranking, _MOST_FILLS):
        note = "as the file says" if one.candidate.now else ""
        viewing_m = comparison.viewing_m
        made.append(glow_picture(one.candidate.words, one.light, one.xy, comparison.hangs, viewing_m, note=note))
    return glow_row(made, title=f"What {comparison.kind} could look like, best first", viewing_m=comparison.viewing_m)


def write_fill_row(ranking: Ranking, path: Path) -> None:
    """Write the picture of a comparison as SVG; raises Refusal where it cannot be written."""
    with whole(path) as stream:
        stream.write(to_svg(fill_row(ranking)))
