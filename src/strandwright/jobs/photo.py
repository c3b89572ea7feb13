"""How bright the kinds of a display are in photographs of them: found, numbered, labelled, measured, kept."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from strandwright.build.kinds import light_of
from strandwright.display import Display
from strandwright.display.parts import DEFAULT_PWM_HZ
from strandwright.display.words import nearest_or_all
from strandwright.errors import UseError
from strandwright.jobs.files import shown, whole_bytes
from strandwright.jobs.measured import by_colour
from strandwright.match.readings import Reading
from strandwright.photo import (
    LEFT_OUT,
    Caution,
    CosFourth,
    Judged,
    Measured,
    Photograph,
    Scene,
    Vignetting,
    about_props,
    even_surface,
    find,
    judge,
    measure,
    overlay,
    parse_exposure,
    parse_labels,
    read_photograph,
    scenes_of,
)

Step = Callable[[str, int, int], None]


def _silent(_words: str, _done: int, _all: int) -> None:
    pass


@dataclass(frozen=True, eq=False)
class Seen:
    """What photographs show, before anything is labelled: scenes, their props numbered through, cautions."""

    scenes: tuple[Scene, ...]
    props: tuple[tuple[Measured, ...], ...]
    cautions: tuple[Caution, ...]

    @property
    def all_props(self) -> tuple[Measured, ...]:
        """Return the props of all scenes."""
        return tuple(p for props in self.props for p in props)

    @property
    def names(self) -> str:
        """Return the names of the photographs."""
        return ", ".join(f.photograph.name for scene in self.scenes for f in scene.frames)


@dataclass(frozen=True, eq=False)
class Photographed:
    """What photographs say about the kinds of a display."""

    seen: Seen
    judged: Judged
    readings: tuple[Reading, ...]


def see(
    photographs: Sequence[Path | str],
    exposures: Sequence[str] = (),
    vignetting: str | None = None,
    pwm_hz: float = DEFAULT_PWM_HZ,
    step: Step = _silent,
) -> Seen:
    """Return the lit props of photographs, numbered and measured.

    Args:
        photographs: paths.
        exposures: as typed, one for each photograph in its order; none: what the camera noted.
        vignetting: None for none, "cos4", or the path of a photograph of an evenly lit surface.
        pwm_hz: rate at which the lights are pulsed, Hz.
        step: called with words, how many photographs are read and how many there are.

    Raises:
        UseError: a photograph that cannot be read or compared, or without a lit prop.
    """
    read = _read(photographs, exposures, step)
    lens = _vignetting(vignetting, read)
    scenes = scenes_of(read, pwm_hz)
    props: list[tuple[Measured, ...]] = []
    count = 0
    for scene in scenes:
        step(f"measure {scene.name}", len(read), len(read))
        found = measure(scene, find(scene), lens)
        props.append(tuple(replace(p, number=p.number + count) for p in found))
        count += len(found)
        if not found:
            raise UseError(
                f"{scene.name}: found no lit prop, expected patches that are brighter than the dark around them. "
                "Photograph them lit, at night, without other lights in the picture, and expose longer."
            )
    every = [p for one in props for p in one]
    cautions = [c for scene in scenes for c in scene.cautions] + about_props(every, [p.name for p in read])
    if len(scenes) > 1:
        cautions.append(_apart(scenes))
    return Seen(scenes, tuple(props), tuple(cautions))


def _apart(scenes: Sequence[Scene]) -> Caution:
    return Caution(
        "several-scenes",
        tuple(scene.name for scene in scenes),
        f"the photographs show {len(scenes)} scenes, whose props are numbered through; intensities compare only where "
        "distance and zoom were the same, luminances anyway.",
        "Where they are meant to show the same props, use a stand and move nothing.",
    )


def _read(photographs: Sequence[Path | str], exposures: Sequence[str], step: Step) -> list[Photograph]:
    if not photographs:
        raise UseError("--photo: found no photograph, expected one or more. Name them, such as --photo a.jpg b.jpg.")
    if exposures and len(exposures) != len(photographs):
        raise UseError(
            f"--exposure: found {len(exposures)}, expected {len(photographs)}, one for each photograph in its order. "
            "Give none of them, or all."
        )
    read = []
    for i, path in enumerate(photographs):
        step(f"read {shown(path)}", i, len(photographs))
        picture = read_photograph(path)
        if exposures:
            try:
                picture = replace(picture, exposure=parse_exposure(exposures[i]))
            except ValueError as error:
                raise UseError(f'--exposure: found "{exposures[i][:40]}", {error}.') from None
        read.append(picture)
    return read


def _vignetting(wanted: str | None, read: Sequence[Photograph]) -> Vignetting | None:
    if wanted is None:
        return None
    if wanted != "cos4":
        try:
            return even_surface(read_photograph(wanted))
        except ValueError as error:
            raise UseError(
                f"{shown(wanted)}: {error}, expected an evenly lit surface, neither clipped nor dark anywhere. "
                "Photograph a sheet of paper close up and out of focus, at the same aperture."
            ) from None
    focal = {p.focal_35mm for p in read}
    (only, *others) = focal
    if only is None or others:
        raise UseError(
            f"--vignetting cos4: found {'no' if only is None and not others else 'more than one'} focal length in the "
            "photographs, expected one (in terms of 35 mm film). Photograph an evenly lit surface and name that picture."
        )
    return CosFourth(only)


def write_overlay(seen: Seen, path: Path) -> None:
    """Write the numbered picture; raises UseError where it cannot be written."""
    with whole_bytes(path) as stream:
        stream.write(overlay([*zip(seen.scenes, seen.props, strict=True)]))


def photograph_kinds(display: Display, seen: Seen, labels: str | Mapping[int, str]) -> Photographed:
    """Return what labelled props say about the kinds of a display.

    Args:
        display: whose kinds they are.
        seen: the props, numbered.
        labels: kind of each number, "-" leaves one out; or that as typed, such as "1-6=float,7=acorn".

    Raises:
        UseError: a kind that does not exist, labels that do not fit, or props whose light was not caught.
    """
    kinds = parse_labels(labels) if isinstance(labels, str) else dict(labels)
    for kind in kinds.values():
        if kind != LEFT_OUT and kind not in display.kinds:
            hint = nearest_or_all(kind, list(display.kinds), "kinds")
            raise UseError(f'--label: found "{kind}", expected a kind of the display. {hint}')
    judged = judge(seen.all_props, kinds, seen.names)
    readings = tuple(
        Reading(k.kind, k.luminance, k.intensity, by_colour(display, k.kind, k.luminance, k.xyz), k.spread)
        for k in judged.kinds
    )
    return Photographed(seen, judged, readings)


def slowest_pwm(display: Display) -> float:
    """Return the lowest rate at which lights of a display's kinds are pulsed, Hz."""
    return min((light_of(display, name).pwm for name in display.kinds), default=DEFAULT_PWM_HZ)


def photo_document(seen: Seen, done: Photographed | None) -> dict[str, Any]:
    """Return what photographs show as plain data: pixels, light on one relative scale, u'v'."""
    labelled = {} if done is None else {n: k.kind for k in done.judged.kinds for n in k.numbers}
    props = [
        {
            "number": p.number,
            "kind": labelled.get(p.number),
            "photographs": [f.photograph.name for f in scene.frames],
            "row": round(p.row, 1),
            "column": round(p.column, 1),
            "area": round(p.area, 1),
            "luminance": round(p.luminance, 6),
            "intensity": round(p.intensity, 3),
            "uv": [round(c, 5) for c in p.uv],
            "trouble": p.trouble,
        }
        for scene, props in zip(seen.scenes, seen.props, strict=True)
        for p in props
    ]
    document: dict[str, Any] = {
        "props": props,
        "cautions": [
            {"code": c.code, "where": list(c.where), "message": c.message, "mend": c.mend} for c in seen.cautions
        ],
    }
    if done is not None:
        document["kinds"] = [
            {
                "kind": k.kind,
                "numbers": list(k.numbers),
                "luminance": round(k.luminance, 6),
                "intensity": round(k.intensity, 3),
                "uv": [round(c, 5) for c in k.uv],
                "by_colour": None if r.by_colour is None else [round(c, 6) for c in r.by_colour],
                "spread": round(k.spread, 6),
                "intensity_spread": round(k.intensity_spread, 6),
            }
            for k, r in zip(done.judged.kinds, done.readings, strict=True)
        ]
        document["outliers"] = [
            {"number": o.number, "kind": o.kind, "off": round(o.off, 4), "message": o.text()}
            for o in done.judged.outliers
        ]
    return document
