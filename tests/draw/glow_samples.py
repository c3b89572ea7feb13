"""Plain inputs for the pictures of one prop: glow, section, intensity and drill template."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from hollowglow.draw.prop.glow import GlowPicture, glow_row
from hollowglow.draw.prop.polar import PolarCurve, polar
from hollowglow.draw.prop.section import CutHole, CutLight, Section, section
from hollowglow.draw.prop.template import DrillHole, FaceOutline, FaceTemplate, drill_template

RGB_XY = ((0.695, 0.305), (0.18, 0.71), (0.135, 0.06))
WHITE_XY = ((0.3127, 0.3290),)


def disc(level_cd_m2: float, pixels: int = 24) -> NDArray[np.float64]:
    """A round prop of one luminance, D65 white: shape (pixels, pixels, 1)."""
    at = np.arange(pixels) + 0.5 - pixels / 2
    return np.where(np.hypot(at[:, None], at) < 0.48 * pixels, level_cd_m2, 0.0)[..., None]


def glow(name: str, level_cd_m2: float, wide_mm: float = 100.0, **more: object) -> GlowPicture:
    """A round prop of one luminance and a width."""
    values = disc(level_cd_m2)
    return GlowPicture(name, values, WHITE_XY, 1e-3 * wide_mm / len(values), level_cd_m2, 1.0, 0.0, **more)  # type: ignore[arg-type]


def rectangle(left: float, low: float, right: float, high: float) -> tuple[tuple[float, float], ...]:
    return ((left, low), (right, low), (right, high), (left, high))


SPHERE = tuple((0.075 * math.sin(math.pi * k / 48), 0.075 - 0.075 * math.cos(math.pi * k / 48)) for k in range(49))
DRUM = ((0.0, 0.0), (0.05, 0.0), (0.05, 0.12), (0.0, 0.12))
WAIST = ((0.0, 0.0), (0.05, 0.0), (0.02, 0.05), (0.05, 0.1), (0.0, 0.1))
UP = CutLight((0.0, 0.02), (0.0, 1.0), 0.012, 0.01, 120.0)
DRAIN = CutHole((0.0, 0.15), 0.004, "drain", "drain")

FLOAT = Section(
    "Float <&\"> 'a'",
    SPHERE,
    0.002,
    "tip down",
    (
        CutLight((0.012, 0.075), (1.0, 0.0), 0.012, 0.03, 120.0),
        CutLight((-0.012, 0.06), (-1.0, 0.0), 0.012, 0.03, 120.0),
        CutLight((-0.012, 0.095), (-1.0, 0.2), 0.012, 0.03, 60.0),
        CutLight((0.0, 0.04), (0.0, -1.0), 0.012, 0.03, 120.0, in_cut=False),
    ),
    (rectangle(-0.012, 0.05, 0.012, 0.11),),
    "box carrier",
    (
        CutHole((0.012, 0.0), 0.0125, "gland for the cable in", "gland"),
        CutHole((-0.012, 0.0), 0.0125, "gland for the cable out", "gland"),
        DRAIN,
    ),
    "metal hook",
    ("Lights beside the cut are drawn dashed.",),
)
SECTIONS = {
    "float": FLOAT,
    "tip up, wet": Section(
        "Waist",
        WAIST,
        0.001,
        "tip up",
        (UP,),
        holes=(CutHole((0.045, 0.01), 0.004, "drain", "drain"), CutHole((-0.04, 0.02), 0.02, "gland", "gland")),
        hook_label="hook",
    ),
    "on its side, no drain": Section(
        "Drum", DRUM, 0.003, "on its side", (UP,), holes=(CutHole((0.05, 0.06), 0.02, "g", "gland"),)
    ),
    "empty": Section("Drum", DRUM, 0.003, "tip up"),
    "large": Section("Ball", tuple((20 * r, 20 * z) for r, z in SPHERE), 0.01, "tip down", holes=(DRAIN,)),
    "small": Section("Bead", tuple((r / 10, z / 10) for r, z in SPHERE), 0.0005, "tip down", holes=(DRAIN,)),
}

ANGLES = tuple(float(a) for a in range(0, 360, 5))
CURVES = (
    PolarCurve("towards the jetty", ANGLES, tuple(2.0 + math.cos(math.radians(a)) for a in ANGLES)),
    PolarCurve("along the jetty", ANGLES, tuple(1.0 + 0.5 * math.sin(math.radians(a)) for a in ANGLES)),
)


def ring(count: int, radius_m: float, bore_m: float = 0.0122) -> tuple[DrillHole, ...]:
    """Holes on a circle, the first on top."""
    turns = [math.pi / 2 + 2.0 * math.pi * k / count for k in range(count)]
    return tuple(DrillHole((radius_m * math.cos(t), radius_m * math.sin(t)), bore_m) for t in turns)


TEMPLATES = {
    "round": FaceTemplate(
        "Float: front", FaceOutline(0.08, 0.08, round=True), ring(5, 0.022), 0.003, ("12 mm lights",)
    ),
    "one": FaceTemplate('Float <&">: front', FaceOutline(0.04, 0.06), (DrillHole((0.0, 0.0), 0.035),)),
    "none": FaceTemplate("Blank", FaceOutline(0.04, 0.06), ()),
    "thin": FaceTemplate("Thin", FaceOutline(0.06, 0.06, round=True), ring(12, 0.024), 0.003),
    "split": FaceTemplate(
        "Plate",
        FaceOutline(0.42, 0.5),
        tuple(DrillHole((0.03 * x, 0.03 * y), 0.0122) for x in range(-6, 7) for y in range(-7, 8)),
    ),
    "strip": FaceTemplate(
        "Strip", FaceOutline(0.6, 0.02), tuple(DrillHole((0.05 * x, 0.0), 0.008) for x in range(-5, 6))
    ),
}

PICTURES = {
    "glow, one": glow_row([glow("float", 40.0)]),
    "glow, five": glow_row([glow(f"kind {k}", 10.0 * k, 40.0 * (k + 1)) for k in range(5)], title='Kinds <&">'),
    "glow, many": glow_row([glow("a kind with a long name", 3.0, note="five lights on one face") for _ in range(13)]),
    "glow, seen": glow_row([glow("float", 40.0, seen_cd_m2=disc(30.0)), glow("star", 20.0)], viewing_m=12.0),
    "glow, dark": glow_row([glow("float", 0.0)]),
    "polar, one": polar(CURVES[:1]),
    "polar, two": polar(CURVES, title="Float"),
    "polar, dark": polar((PolarCurve("off", ANGLES, (0.0,) * len(ANGLES)),)),
}
PICTURES |= {f"section, {name}": section(cut) for name, cut in SECTIONS.items()}
PICTURES |= {
    f"template, {name} {number}": sheet
    for name, template in TEMPLATES.items()
    for number, sheet in enumerate(drill_template(template), 1)
}
