"""The light of one prop all around: intensity in cd over a vertical circle, straight down at the foot."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from hollowglow.draw.sheet.axes import tick_label, tick_step, ticks
from hollowglow.draw.sheet.layout import fit_text, record_box, wrapped
from hollowglow.draw.sheet.records import Anchor, Circle, Drawing, Line, Polyline, Record, Rect, Role, Text
from hollowglow.quantity.numbers import figure

EDGE_MM = 6.0
TITLE_MM = 4.0
WORD_MM = 2.6
BOLD = 1.2
KEY_STEP_MM = 4.4
DARK_CD = 1e-4
ROLES: tuple[Role, ...] = ("polar", "polar-two")
SPOKES_DEG = tuple(range(0, 360, 30))


@dataclass(frozen=True, slots=True)
class PolarCurve:
    """Intensities, cd, at angles from straight down, degrees: up on the right side of the page, down on the left."""

    name: str
    angle_deg: tuple[float, ...]
    intensity_cd: tuple[float, ...]

    def __post_init__(self) -> None:
        """Refuse columns that make no curve."""
        if len(self.angle_deg) != len(self.intensity_cd) or len(self.angle_deg) < 3:
            raise ValueError(
                f"curve {self.name} has {len(self.angle_deg)} angles and {len(self.intensity_cd)} intensities, expected "
                "as many of each, three or more"
            )
        if not all(map(math.isfinite, (*self.angle_deg, *self.intensity_cd))) or min(self.intensity_cd) < 0.0:
            raise ValueError(f"curve {self.name} holds intensities below 0 or numbers not finite, expected neither")

    @property
    def peak(self) -> tuple[float, float]:
        """Return the highest intensity, cd, and its angle from straight down, degrees, 0 to 180."""
        best = max(range(len(self.angle_deg)), key=lambda k: self.intensity_cd[k])
        angle = self.angle_deg[best] % 360.0
        return self.intensity_cd[best], min(angle, 360.0 - angle)


def polar(curves: Sequence[PolarCurve], *, title: str = "Intensity all around", width_mm: float = 110.0) -> Drawing:
    """Draw one or two curves over the same vertical circle, told apart by their pattern too.

    Raises ValueError for no curve or more than two, or if `width_mm` is below 90.
    """
    if not 1 <= len(curves) <= len(ROLES):
        raise ValueError(f"{len(curves)} curves of intensity were asked for, expected one or two")
    if width_mm < 90:
        raise ValueError(f"a curve of intensity {width_mm:g} mm wide was asked for, expected 90 mm or more")
    most = max(max(curve.intensity_cd) for curve in curves)
    top_cd = most if most >= DARK_CD else 1.0
    step = tick_step(top_cd, 4)
    rim_cd = step * math.ceil(top_cd / step - 1e-9)
    radius = width_mm / 2 - EDGE_MM - 8.0
    x, y = width_mm / 2, 20.0 + radius
    records: list[Record] = [
        Text(EDGE_MM, 8.2, fit_text(title, width_mm - 2 * EDGE_MM, BOLD * TITLE_MM), TITLE_MM, "title")
    ]
    records += [Circle(x, y, radius * value / rim_cd, "grid") for value in ticks(0.0, rim_cd, 4) if value > 0.0]
    for angle in SPOKES_DEG:
        right, down = _way(angle)
        role: Role = "axis" if angle % 90 == 0 else "grid"
        records.append(Line(x, y, x + radius * right, y + radius * down, role))
        away = radius + 2.6
        words = f"{min(angle, 360 - angle)}°"
        anchor: Anchor = "middle" if abs(right) < 0.1 else "start" if right > 0 else "end"
        records.append(Text(x + away * right, y + away * down + 0.9 + 0.8 * down, words, WORD_MM, "tick", anchor))
    for curve, role in zip(curves, ROLES, strict=False):
        places = (
            (_way(angle), radius * value / rim_cd)
            for angle, value in zip(curve.angle_deg, curve.intensity_cd, strict=True)
        )
        points = [(x + reach * right, y + reach * down) for (right, down), reach in places]
        records.append(Polyline((*points, points[0]), role))
    records += _rings(x, y, radius, rim_cd, step)
    y += radius + 10.0
    for curve, role in zip(curves, ROLES, strict=False):
        peak, at = curve.peak
        words = f"{curve.name}: most {figure(peak)} cd, {at:.0f}° from straight down"
        records.append(Line(EDGE_MM, y - 0.9, EDGE_MM + 9.0, y - 0.9, role))
        records.append(
            Text(EDGE_MM + 11.0, y, fit_text(words, width_mm - 2 * EDGE_MM - 11.0, WORD_MM), WORD_MM, "label")
        )
        y += KEY_STEP_MM
    words = f"luminous intensity in cd, a ring every {tick_label(step, step)} cd; 0° is straight down as it hangs"
    for line in wrapped(words, width_mm - 2 * EDGE_MM, WORD_MM):
        records.append(Text(EDGE_MM, y, line, WORD_MM, "label"))
        y += 0.85 * KEY_STEP_MM
    return Drawing(width_mm, y, title, tuple(records), _describe(curves, title))


def _way(angle_deg: float) -> tuple[float, float]:
    """Return the direction on the page (right, down) of an angle from straight down."""
    turn = math.radians(angle_deg)
    return math.sin(turn), math.cos(turn)


def _rings(x: float, y: float, radius: float, rim_cd: float, step: float) -> list[Record]:
    """Return the values of the rings, on a spoke that no line is drawn along, over the curves."""
    right, down = _way(135.0)
    records: list[Record] = []
    for value in ticks(0.0, rim_cd, 4):
        if value > 0.0:
            reach = radius * value / rim_cd
            words = tick_label(value, step)
            word = Text(x + reach * right, y + reach * down + 0.9, words, WORD_MM, "tick", "middle")
            box = record_box(word)
            records += [Rect(box.left, box.top, box.right - box.left, box.bottom - box.top, "paper"), word]
    return records


def _describe(curves: Sequence[PolarCurve], title: str) -> str:
    parts = [f"{title}: luminous intensity around a vertical circle, straight down at the foot."]
    for curve in curves:
        most, at = curve.peak
        parts.append(
            f"{curve.name}: most {figure(most)} cd at {at:.0f}° from straight down, least "
            f"{figure(min(curve.intensity_cd))} cd."
        )
    return " ".join(parts)
