"""From measured props and their labels to one figure for each kind, its spread, and the props that stick out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hollowglow.measured.photo.caution import Caution
from hollowglow.measured.photo.labels import LEFT_OUT, check_labels, ranges
from hollowglow.measured.photo.measure import MeasuredProp
from hollowglow.measured.photo.scene import Scene
from hollowglow.messages.refusal import Refusal
from hollowglow.physics.colour import uv_prime

# A prop sticks out where it is off by more than 10 % and by more than 3.5 robust standard deviations of its kind
# (Iglewicz and Hoaglin 1993).
OUT_SHARE = 0.10
OUT_SIGMAS = 3.5
_LEAST_FOR_OUT = 3
# Above this share of its radius the blur of an outline can no longer be told from the prop's own shape.
SOFT = 0.2
_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")


@dataclass(frozen=True, slots=True)
class Outlier:
    """A prop that differs from the others of its kind.

    Attributes:
        number: on the overlay.
        kind: its kind.
        place: among the props of its kind, from 1.
        off: its light over theirs, less 1.
        by_area: whether more of that comes from its area than from its luminance.
    """

    number: int
    kind: str
    place: int
    off: float
    by_area: bool = False

    def text(self) -> str:
        """Return it as a question."""
        which = _ORDINALS[self.place - 1] if self.place <= len(_ORDINALS) else f"{self.place}{_ending(self.place)}"
        how = f"{100.0 * abs(self.off):.0f} %"
        if self.by_area:
            what, why = (
                ("weak", "farther away, or partly dark?") if self.off < 0.0 else ("strong", "nearer, or larger?")
            )
            return f"the {which} {self.kind} (number {self.number}) is {how} {what}, more by its area than its luminance: {why}"
        if self.off < 0.0:
            return f"the {which} {self.kind} (number {self.number}) is {how} dim: a light out?"
        return f"the {which} {self.kind} (number {self.number}) is {how} bright: another kind, or another setting?"


def _ending(number: int) -> str:
    """Return what follows a number that counts a place: 21st, 22nd, 23rd, 24th."""
    return "th" if number % 100 in (11, 12, 13) else {1: "st", 2: "nd", 3: "rd"}.get(number % 10, "th")


@dataclass(frozen=True, eq=False)
class PhotographedKind:
    """What the photographs say about a kind, on a scale that its other kinds share.

    Attributes:
        kind: its name.
        numbers: of its props on the overlay.
        luminance: mean of its props without those that stick out, relative.
        intensity: the same, relative, were all props equally far away.
        xyz: tristimulus values, the same mean of intensity, shape (3,).
        spread: standard deviation of the luminance of those props over their mean, 0 for one prop.
        intensity_spread: the same of the intensity.
    """

    kind: str
    numbers: tuple[int, ...]
    luminance: float
    intensity: float
    xyz: NDArray[np.float64]
    spread: float
    intensity_spread: float

    @property
    def uv(self) -> tuple[float, float]:
        """Return its CIE 1976 u'v'."""
        u, v = uv_prime(self.xyz).tolist()
        return u, v


@dataclass(frozen=True, slots=True)
class JudgedKinds:
    """The kinds in the order of their first prop, and the props that stick out."""

    kinds: tuple[PhotographedKind, ...]
    outliers: tuple[Outlier, ...]


def refuse_clipped(props: Sequence[MeasuredProp], labels: Mapping[int, str], names: str) -> None:
    """Refuse labelled props whose light was not caught.

    Raises:
        Refusal: props whose core every exposure clips, or that are nearly black in all of them.
    """
    used = [p for p in props if labels.get(p.number) != LEFT_OUT]
    clipped = [p for p in used if p.trouble == "clipped"]
    if clipped:
        worst = max(p.clipped for p in clipped)
        raise Refusal(
            f"{names}: found clipped cores in prop {ranges([p.number for p in clipped])} (up to {_percent(worst)} of "
            "the lit area is at the camera's limit), expected every core below it. Add a photograph with a quarter of "
            "the exposure time, all else the same."
        )
    dark = [p for p in used if p.trouble == "dark"]
    if dark:
        raise Refusal(
            f"{names}: found the props {ranges([p.number for p in dark])} nearly black in every exposure, expected at "
            "least 0.5 % of the camera's range. Add a photograph with four times the exposure time, all else the same."
        )


def _percent(share: float) -> str:
    return f"{100.0 * share:.0f} %" if share >= 0.095 else f"{100.0 * share:.1f} %"


def judge(props: Sequence[MeasuredProp], labels: Mapping[int, str], names: str) -> JudgedKinds:
    """Return what labelled props say about their kinds.

    Args:
        props: all of the photographs, numbered from 1.
        labels: kind of each number, "-" leaves one out.
        names: of the photographs, for messages.

    Raises:
        Refusal: labels that do not fit the props, or props whose light was not caught.
    """
    check_labels(dict(labels), len(props))
    refuse_clipped(props, labels, names)
    kinds: dict[str, list[MeasuredProp]] = {}
    for prop in props:
        if labels[prop.number] != LEFT_OUT:
            kinds.setdefault(labels[prop.number], []).append(prop)
    if not kinds:
        raise Refusal("found every prop left out, expected at least one with a kind. Give one a kind.", field="label")
    outliers: list[Outlier] = []
    made = []
    for kind, members in kinds.items():
        out = _outliers(kind, members)
        outliers += out
        gone = {o.number for o in out}
        made.append(_kind(kind, members, [m for m in members if m.number not in gone]))
    return JudgedKinds(tuple(made), tuple(outliers))


def _outliers(kind: str, members: Sequence[MeasuredProp]) -> list[Outlier]:
    if len(members) < _LEAST_FOR_OUT:
        return []
    light = np.array([m.intensity for m in members])
    middle = float(np.median(light))
    off = light / middle - 1.0
    sigma = 1.4826 * float(np.median(np.abs(off)))
    luminance = np.array([m.luminance for m in members])
    dimmed = np.abs(np.log(luminance / float(np.median(luminance))))
    by_area = dimmed < 0.5 * np.abs(np.log1p(off))
    return [
        Outlier(m.number, kind, i + 1, float(off[i]), bool(by_area[i]))
        for i, m in enumerate(members)
        if abs(off[i]) > max(OUT_SHARE, OUT_SIGMAS * sigma)
    ]


def _kind(kind: str, members: Sequence[MeasuredProp], usual: Sequence[MeasuredProp]) -> PhotographedKind:
    luminance = np.array([m.luminance for m in usual])
    intensity = np.array([m.intensity for m in usual])
    return PhotographedKind(
        kind=kind,
        numbers=tuple(m.number for m in members),
        luminance=float(luminance.mean()),
        intensity=float(intensity.mean()),
        xyz=np.mean([m.xyz for m in usual], axis=0),
        spread=_spread(luminance),
        intensity_spread=_spread(intensity),
    )


def _spread(values: NDArray[np.float64]) -> float:
    return float(values.std(ddof=1) / values.mean()) if len(values) > 1 else 0.0


def about_props(props: Sequence[MeasuredProp], names: Sequence[str]) -> list[Caution]:
    """Return cautions about single props, before anything is labelled."""
    told = []
    for trouble, message, mend in (
        ("clipped", "clipped cores in prop", "Add a photograph with a quarter of the exposure time."),
        ("dark", "nearly black in every exposure: the props", "Add a photograph with four times the exposure time."),
    ):
        numbers = [p.number for p in props if p.trouble == trouble]
        if numbers:
            told.append(Caution(f"{trouble}-props", tuple(names), f"{message} {ranges(numbers)}.", mend))
    soft = [p.number for p in props if not p.trouble and p.blur > SOFT]
    if soft:
        message = (
            f"outlines of the props {ranges(soft)} are so soft that their luminance is doubtful, not their intensity."
        )
        told.append(Caution("soft-outline", tuple(names), message, "Focus on the props by hand, or go nearer."))
    return told


def about_edges(scene: Scene, props: Sequence[MeasuredProp]) -> list[Caution]:
    """Return a caution about props of a scene that its edge cuts off."""
    rows, columns = scene.frames[0].photograph.shape
    cut = []
    for p in props:
        y, x = np.nonzero(p.outline)
        top, left = p.corner[0] + int(y.min()), p.corner[1] + int(x.min())
        below, right = p.corner[0] + int(y.max()), p.corner[1] + int(x.max())
        if top <= 1 or left <= 1 or below >= rows - 2 or right >= columns - 2:
            cut.append(p.number)
    if not cut:
        return []
    message = f"the picture's edge cuts off prop {ranges(cut)}: not all of its light is in it."
    return [Caution("cut-off", (scene.name,), message, "Leave it out (-), or photograph it whole.")]
