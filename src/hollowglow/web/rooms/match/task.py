"""Long work of the room where kinds are made alike: photographs read, props named, a meter's readings taken."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

from hollowglow.file import Display, load
from hollowglow.file.store.files import read_text
from hollowglow.file.text.source import parse_text
from hollowglow.jobs.matching import light_meter
from hollowglow.jobs.matching import match as matching
from hollowglow.jobs.matching.conditions import AS_FILE
from hollowglow.jobs.matching.kept import doubts, setting_doubts, taking_of
from hollowglow.jobs.matching.light_meter import meter_kinds
from hollowglow.jobs.matching.photographs import (
    SeenPhotographs,
    photo_document,
    photograph_kinds,
    see,
    slowest_pwm,
    write_overlay,
)
from hollowglow.measured.meter import reading_of
from hollowglow.measured.photo import marks
from hollowglow.measured.readings import Taking, keep
from hollowglow.messages.refusal import Input, Refusal
from hollowglow.web.words import of_error
from hollowglow.web.work.results import Brought, PlanMemory, Proposal, Step

if TYPE_CHECKING:
    from hollowglow.analysis.match import By
    from hollowglow.web.desk.photo_request import Look, Metering, Naming


def wrong_readings(asked: Metering) -> dict[str, str]:
    """Return what is wrong with what was typed about a meter, by the name of its field."""
    wrong = {}
    for kind, text in asked.typed.items():
        for part in filter(str.strip, text.split(";")):
            try:
                reading_of(kind, part)
            except ValueError as error:
                wrong[f"meter:{kind}"] = f'found "{part.strip()[:60]}", {error}.'
    level = asked.level.strip()
    try:
        if level and level != AS_FILE and "=" not in level:
            matching.read_share(level)
    except Refusal:
        wrong["level"] = f'found "{level}", expected a share above 0 and up to 100 %, like "40 %".'
    return wrong


def luminance_of(typed: str | None) -> float | None:
    """Return a luminance in cd/m² as typed; raises Refusal where it is none."""
    if not typed:
        return None
    bare = typed.removesuffix("cd/m2").removesuffix("cd/m²").strip()
    try:
        return float(bare)
    except ValueError:
        raise Refusal(Input("luminance"), f' is "{typed}"; expected cd/m2 above 0, like 40.') from None


def photographs(kept: PlanMemory, step: Step, path: str, look: Look) -> Brought:
    """Return the lit props of photographs, numbered, with the numbered picture and where each prop is on it."""
    seen = _seen(kept, step, load(path), look)
    with tempfile.TemporaryDirectory() as folder:
        target = Path(folder) / "numbered.png"
        write_overlay(seen, target)
        picture = target.read_bytes()
    return Brought(_of_seen(seen), {"numbered": picture}, {})


def _of_seen(seen: SeenPhotographs) -> dict[str, Any]:
    placed = {
        mark.number: {"left": mark.left, "top": mark.top, "width": mark.width, "height": mark.height}
        for mark in marks([*zip(seen.scenes, seen.props, strict=True)])
    }
    data = photo_document(seen, None)
    data["props"] = [one | {"mark": placed[one["number"]]} for one in data["props"]]
    return data


def _seen(kept: PlanMemory, step: Step, display: Display, look: Look) -> SeenPhotographs:
    pwm_hz = slowest_pwm(display)
    if kept.seen is None or kept.seen[0] != (look, pwm_hz):
        exposures = look.exposures if any(look.exposures) else ()
        if exposures and not all(exposures):
            missing = Path(look.paths[exposures.index("")]).name
            raise Refusal(
                f"{missing}: found no exposure, but others were typed; expected one for each photograph or none. "
                'Type it too, like "1/60 s f/4 ISO 200".'
            )
        lens = "cos4" if look.even_lens else None
        names = [Path(path).name for path in look.paths]
        seen = see(look.paths, exposures, lens, pwm_hz, lambda words, done, all_: step(done, all_, words), names)
        kept.seen = ((look, pwm_hz), seen)
    return kept.seen[1]


def named(kept: PlanMemory, step: Step, path: str, look: Look, naming: Naming) -> Brought:
    """Return what named props say about their kinds, and the levels that match by them; kept where asked."""
    from hollowglow.measured.photo import parse_labels

    display = load(path)
    seen = _seen(kept, step, display, look)
    labels = dict(naming.kinds) | (parse_labels(naming.typed) if naming.typed.strip() else {})
    done = photograph_kinds(display, seen, labels, naming.levels, naming.distances)
    taking = taking_of(display, done)
    data = photo_document(seen, done, taking)
    data["labels"] = labels
    data["doubts"] = [*setting_doubts(display, naming.levels), *doubts(taking)]
    data["kept"] = keep(path, taking).name if naming.keep else ""
    found, pictures, proposals = _levels(path, naming.by, () if naming.keep else (taking,))
    return Brought(data | {"found": found}, pictures, proposals, anew=naming.keep)


def metered(_kept: PlanMemory, _step: Step, path: str, asked: Metering) -> Brought:
    """Return what a meter showed in cd/m² and cd, and the levels that match by it; kept where asked."""
    display = load(path)
    typed = [f"{kind}={part.strip()}" for kind, text in asked.typed.items() for part in text.split(";") if part.strip()]
    if not typed:
        raise Refusal("Found no reading, expected one of a kind or more. Type it, like 0.5 lux at 2 m or 40 cd/m2.")
    readings, too_near = meter_kinds(display, typed)
    taking = light_meter.taking_of(display, readings, asked.level)
    data: dict[str, Any] = {
        "readings": [{"kind": r.kind, "luminance": r.luminance, "intensity": r.intensity} for r in readings],
        "doubts": [*too_near, *setting_doubts(display, asked.level), *doubts(taking)],
        "level": asked.level.strip() or "100 %",
        "kept": keep(path, taking).name if asked.keep else "",
    }
    found, pictures, proposals = _levels(path, asked.by, () if asked.keep else (taking,))
    return Brought(data | {"found": found}, pictures, proposals, anew=asked.keep)


def _levels(
    path: str, by: By | None, takings: tuple[Taking, ...]
) -> tuple[dict[str, Any], dict[str, str | bytes], dict[str, Proposal]]:
    """Return levels by readings; where none can be found, why, so that the readings are shown all the same."""
    from hollowglow.draw.sheet.svg import to_svg
    from hollowglow.jobs.matching.pictures import before_and_after

    try:
        made = matching.match_file(path, matching.read_target(by, None, None, None), takings=takings)
    except Refusal as error:
        return {"levels": [], "left_out": [], "why_not": of_error(error)}, {}, {}
    stated = parse_text(read_text(Path(path)), path).data
    edits = matching.level_edits(made, stated)
    proposals = {"levels": Proposal(edits, matching.LEVELS_THAT_MATCH)} if edits else {}
    return (
        matching.match_document(made) | {"why_not": ""},
        {"before-after": to_svg(before_and_after(made))},
        proposals,
    )
