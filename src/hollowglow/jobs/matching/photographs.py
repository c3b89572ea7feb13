"""How bright the kinds of a display are in photographs of them: found, numbered, labelled, measured, kept."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np

from hollowglow.analysis.match.readings import MeasuredBrightness
from hollowglow.assembly.kinds import light_of
from hollowglow.file import Display
from hollowglow.file.model.parts import DEFAULT_PWM_HZ
from hollowglow.file.store.writing import shown, whole_bytes
from hollowglow.jobs.matching.conditions import Area, Duties, area_of, out_of_place, read_distances, read_levels
from hollowglow.jobs.matching.measured import by_colour
from hollowglow.measured.photo import (
    LEFT_OUT,
    Caution,
    CosFourth,
    JudgedKinds,
    MeasuredProp,
    Photograph,
    Scene,
    Vignetting,
    about_edges,
    about_props,
    check_labels,
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
from hollowglow.measured.readings import Taking
from hollowglow.measured.readings.store import Across
from hollowglow.messages.refusal import Input, Refusal
from hollowglow.quantity.shown import nearest_or_all

SEVERAL_SCENES = "several-scenes"

Step = Callable[[str, int, int], None]


def _silent(_words: str, _done: int, _all: int) -> None:
    pass


@dataclass(frozen=True, eq=False)
class SeenPhotographs:
    """What photographs show, before anything is labelled: scenes, their props numbered through, cautions."""

    scenes: tuple[Scene, ...]
    props: tuple[tuple[MeasuredProp, ...], ...]
    cautions: tuple[Caution, ...]

    @property
    def all_props(self) -> tuple[MeasuredProp, ...]:
        """Return the props of all scenes."""
        return tuple(p for props in self.props for p in props)

    @property
    def names(self) -> str:
        """Return the names of the photographs."""
        return ", ".join(f.photograph.name for scene in self.scenes for f in scene.frames)


@dataclass(frozen=True, eq=False)
class Photographed:
    """What photographs say about the kinds of a display.

    Attributes:
        seen: the props.
        judged: their kinds; intensities as were all props equally far away, where their distances were stated.
        readings: of each kind, as it was set; its intensity is what compares with that of other kinds, see `across`.
        duties: that each colour of each kind of the display had.
        across: what makes intensities of unlike kinds comparable: the shells' sizes in the file, or stated distances.
        by_size: luminance times the area that the kind's shell shows, m²; None where it states none.
        cautions: beyond those of the photographs.
    """

    seen: SeenPhotographs
    judged: JudgedKinds
    readings: tuple[MeasuredBrightness, ...]
    duties: Duties
    across: Across
    by_size: tuple[float | None, ...]
    cautions: tuple[Caution, ...] = ()


def see(
    photographs: Sequence[Path | str],
    exposures: Sequence[str] = (),
    vignetting: str | None = None,
    pwm_hz: float = DEFAULT_PWM_HZ,
    step: Step = _silent,
    names: Sequence[str] = (),
) -> SeenPhotographs:
    """Return the lit props of photographs, numbered and measured.

    Args:
        photographs: paths.
        exposures: as typed, one for each photograph in its order; none: what the camera noted.
        vignetting: None for none, "cos4", or the path of a photograph of an evenly lit surface.
        pwm_hz: rate at which the lights are pulsed, Hz.
        step: called with words, how many photographs are read and how many there are.
        names: of the photographs in words; none: their paths.

    Raises:
        Refusal: a photograph that cannot be read or compared, or without a lit prop.
    """
    read = _read(photographs, exposures, step, names or [shown(path) for path in photographs])
    lens = _vignetting(vignetting, read)
    scenes = scenes_of(read, pwm_hz)
    props: list[tuple[MeasuredProp, ...]] = []
    count = 0
    for scene in scenes:
        step(f"measure {scene.name}", len(read), len(read))
        found = measure(scene, find(scene), lens)
        props.append(tuple(replace(p, number=p.number + count) for p in found))
        count += len(found)
        if not found:
            raise Refusal(
                f"{scene.name}: found no lit prop, expected patches that are brighter than the dark around them. "
                "Photograph them lit, at night, without other lights in the picture, and expose longer."
            )
    every = [p for one in props for p in one]
    cautions = [c for scene in scenes for c in scene.cautions] + about_props(every, [p.name for p in read])
    cautions += [c for scene, own in zip(scenes, props, strict=True) for c in about_edges(scene, own)]
    if len(scenes) > 1:
        cautions.append(_apart(scenes))
    return SeenPhotographs(scenes, tuple(props), tuple(cautions))


def _apart(scenes: Sequence[Scene]) -> Caution:
    return Caution(
        SEVERAL_SCENES,
        tuple(scene.name for scene in scenes),
        f"the photographs show {len(scenes)} scenes, whose props are numbered through; intensities compare only where "
        "distance and zoom were the same, luminances anyway.",
        "Where they are meant to show the same props, use a stand and move nothing.",
    )


def _read(
    photographs: Sequence[Path | str], exposures: Sequence[str], step: Step, names: Sequence[str]
) -> list[Photograph]:
    if not photographs:
        raise Refusal(
            "found no photograph, expected one or more. Name them, such as ",
            Input("photograph", "a.jpg b.jpg"),
            ".",
            field="photograph",
        )
    if exposures and len(exposures) != len(photographs):
        raise Refusal(
            f"found {len(exposures)}, expected {len(photographs)}, one for each photograph in its order. "
            "Give none of them, or all.",
            field="exposure",
        )
    read = []
    for i, path in enumerate(photographs):
        step(f"read {names[i]}", i, len(photographs))
        picture = read_photograph(path, names[i])
        if exposures:
            try:
                picture = replace(picture, exposure=parse_exposure(exposures[i]))
            except ValueError as error:
                raise Refusal(f'found "{exposures[i][:40]}", {error}.', field="exposure") from None
        read.append(picture)
    return read


def _vignetting(wanted: str | None, read: Sequence[Photograph]) -> Vignetting | None:
    if wanted is None:
        return None
    if wanted != "cos4":
        try:
            return even_surface(read_photograph(wanted))
        except ValueError as error:
            raise Refusal(
                f"{shown(wanted)}: {error}, expected an evenly lit surface, neither clipped nor dark anywhere. "
                "Photograph a sheet of paper close up and out of focus, at the same aperture."
            ) from None
    focal = {p.focal_35mm for p in read}
    (only, *others) = focal
    if only is None or others:
        raise Refusal(
            Input("vignetting", "cos4"),
            f": found {'no' if only is None and not others else 'more than one'} focal length in the "
            "photographs, expected one (in terms of 35 mm film). Photograph an evenly lit surface and name that picture.",
        )
    return CosFourth(only)


def write_overlay(seen: SeenPhotographs, path: Path) -> None:
    """Write the numbered picture; raises Refusal where it cannot be written."""
    with whole_bytes(path) as stream:
        stream.write(overlay([*zip(seen.scenes, seen.props, strict=True)]))


def photograph_kinds(
    display: Display,
    seen: SeenPhotographs,
    labels: str | Mapping[int, str],
    levels: str | None = None,
    distances: str | None = None,
) -> Photographed:
    """Return what labelled props say about the kinds of a display.

    A picture alone tells how bright a prop's surface is, and not whether it is small or far away. Its light in all comes
    from that and the area that its shell shows, which the file states, or from its distance.

    Args:
        display: whose kinds they are.
        seen: the props, numbered.
        labels: kind of each number, "-" leaves one out; or that as typed, such as "1-6=float,7=acorn".
        levels: that the kinds had, as typed, see `read_levels`; None: full.
        distances: of the props, as typed, see `read_distances`; None: not known.

    Raises:
        Refusal: a kind that does not exist, labels that do not fit, props whose light was not caught, or levels and
            distances that are none.
    """
    kinds = parse_labels(labels) if isinstance(labels, str) else dict(labels)
    for kind in kinds.values():
        if kind != LEFT_OUT and kind not in display.kinds:
            hint = nearest_or_all(kind, list(display.kinds), "kinds")
            raise Refusal(f'found "{kind}", expected a kind of the display. {hint}', field="label")
    duties = read_levels(display, levels)
    known = {number: kind for number, kind in kinds.items() if kind != LEFT_OUT}
    far = read_distances(display, known, distances)
    try:
        check_labels(kinds, len(seen.all_props))
    except Refusal as error:
        apart = next((c.text() for c in seen.cautions if c.code == SEVERAL_SCENES), None)
        if apart is None:
            raise
        raise Refusal(*error.words, f" {apart}", field=error.field) from None
    judged = judge(seen.all_props if far is None else _equally_far(seen, far), kinds, seen.names)
    dark = [k.kind for k in judged.kinds if not any(duties[k.kind])]
    if dark:
        raise Refusal(
            f"found {dark[0]} at 0 %, expected a level above it, because it is lit in the photograph. State the "
            "levels that the kinds had.",
            field="at",
        )
    areas = {k.kind: area_of(display.kinds[k.kind]) for k in judged.kinds}
    by_size = tuple(None if (a := areas[k.kind]) is None else a.mean_m2 * k.luminance for k in judged.kinds)
    across: Across = "distance" if far is not None else "size" if any(v is not None for v in by_size) else ""
    intensities = by_size if across == "size" else tuple(k.intensity for k in judged.kinds)
    readings = tuple(
        MeasuredBrightness(k.kind, k.luminance, total, by_colour(display, k.kind, k.luminance, k.xyz), k.spread)
        for k, total in zip(judged.kinds, intensities, strict=True)
    )
    cautions = () if far is None else _out_of_place(seen, far, kinds, areas)
    return Photographed(seen, judged, readings, duties, across, by_size, cautions)


def _equally_far(seen: SeenPhotographs, far: Mapping[int, float]) -> list[MeasuredProp]:
    """Return props with the light that they would show from 1 m, by the inverse square and the photographs' zoom."""
    return [
        replace(p, intensity=scale * p.intensity, rgb=scale * p.rgb, xyz=scale * p.xyz)
        for scene, props in zip(seen.scenes, seen.props, strict=True)
        for p in props
        for scale in (_pixel(scene, seen.scenes[0]) * far.get(p.number, 1.0) ** 2,)
    ]


def _pixel(scene: Scene, first: Scene) -> float:
    """Return the solid angle of a scene's pixel over that of the first one's, 1 where a focal length is not known."""
    sizes = []
    for one in (scene, first):
        photograph = one.frames[0].photograph
        if photograph.focal_35mm is None:
            return 1.0
        sizes.append(photograph.focal_35mm * float(np.hypot(*photograph.shape)))
    return (sizes[1] / sizes[0]) ** 2


def _out_of_place(
    seen: SeenPhotographs, far: Mapping[int, float], labels: Mapping[int, str], areas: Mapping[str, Area | None]
) -> tuple[Caution, ...]:
    """Return a caution where kinds are larger or smaller in the picture than their sizes and distances make them."""
    spans: dict[str, list[float]] = {}
    for scene, props in zip(seen.scenes, seen.props, strict=True):
        for p in props:
            if p.number in far and areas[labels[p.number]] is not None:
                spans.setdefault(labels[p.number], []).append(
                    _pixel(scene, seen.scenes[0]) * p.area * far[p.number] ** 2
                )
    found = out_of_place({kind: (float(np.median(own)), a) for kind, own in spans.items() if (a := areas[kind])})
    if found is None:
        return ()
    small, large, off = found
    message = (
        f"by their outlines and the sizes in the file, the ratio of their distances is off by {100.0 * (off - 1.0):.0f} % "
        f"or more: {small} looks too small for its distance, {large} too large."
    )
    return (Caution("distances-doubtful", (small, large), message, "Check the distances and the shells' measures."),)


def slowest_pwm(display: Display) -> float:
    """Return the lowest rate at which lights of a display's kinds are pulsed, Hz."""
    return min((light_of(display, name).pwm for name in display.kinds), default=DEFAULT_PWM_HZ)


def photo_document(seen: SeenPhotographs, done: Photographed | None, taking: Taking | None = None) -> dict[str, Any]:
    """Return what photographs show as plain data: pixels, light on one relative scale, u'v'.

    Args:
        seen: the props.
        done: what they say about kinds, where they were labelled.
        taking: the same at full and nominal voltage, as it is kept.
    """
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
            {"code": c.code, "where": list(c.where), "message": c.message, "mend": c.mend}
            for c in (*seen.cautions, *(() if done is None else done.cautions))
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
                "intensity_by_size": None if size is None else round(size, 9),
                "duties": [round(d, 6) for d in done.duties[k.kind]],
            }
            for k, r, size in zip(done.judged.kinds, done.readings, done.by_size, strict=True)
        ]
        for row, kept in zip(document["kinds"], () if taking is None else taking.kinds, strict=False):
            row["full_luminance"] = None if kept.luminance is None else round(kept.luminance, 6)
            row["full_intensity"] = None if kept.intensity is None else round(kept.intensity, 9)
        document["intensities_by"] = done.across or None
        document["outliers"] = [
            {"number": o.number, "kind": o.kind, "off": round(o.off, 4), "message": o.text()}
            for o in done.judged.outliers
        ]
    return document
