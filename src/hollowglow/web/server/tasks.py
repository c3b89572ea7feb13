"""What the worker process can do: the jobs, by name, with what it keeps from one to the next."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

# Planning comes first and is what everyone waits for; what the other tasks need is loaded by who first asks for them.
import hollowglow.jobs.matching.measured  # noqa: F401
from hollowglow.file.text.commands import Edit, Put, Remove
from hollowglow.jobs.plan import plan_file
from hollowglow.plan import STEPS, Plan
from hollowglow.web.work.results import Brought, PlanMemory, Proposal, Step

if TYPE_CHECKING:
    from collections.abc import Callable

    from hollowglow.analysis.match import By
    from hollowglow.book.request import Paper
    from hollowglow.quantity.reader import Units
    from hollowglow.search.fill import Candidate, Prefer

__all__ = ["TASKS", "Brought", "PlanMemory", "Proposal"]


def plan(kept: PlanMemory, step: Step, path: str, text: str | None = None) -> Plan:
    """Return the plan of a display file, or of a text in its place."""
    kept.plan = plan_file(path, lambda name: step(STEPS.index(name), len(STEPS), name), kept.plan, text)
    return kept.plan


def feed(_kept: PlanMemory, step: Step, path: str) -> Brought:
    """Return the cheapest way to feed every string of a display file."""
    from hollowglow.draw.sheet.svg import to_svg
    from hollowglow.jobs import feed as feeding

    report = feeding.feed_file(path, progress=step)
    strings = list(dict.fromkeys(str(edit.path[1]) for edit in report.edits))
    proposals = {"plan": Proposal(report.edits, f"feeds of {', '.join(strings)}")} if report.edits else {}
    return Brought(
        feeding.document(report), {name: to_svg(drawing) for name, drawing in feeding.pictures(report)}, proposals
    )


def fill(_kept: PlanMemory, step: Step, path: str, kind: str, prefer: Prefer | None) -> Brought:
    """Return what could go inside a kind, best first; each candidate is a proposal named by its place in that order."""
    from hollowglow.draw.sheet.svg import to_svg
    from hollowglow.jobs.filling import fill as filling
    from hollowglow.view.pictures.kinds import fill_row

    ranking = filling.fill_file(path, kind, prefer, step=lambda done, all_: step(done, all_, f"{done} of {all_}"))
    proposals = {
        str(place): Proposal(_with(kind, ranked.outcome.candidate), f"{kind}: {ranked.outcome.candidate.words}")
        for place, ranked in enumerate(ranking.ranked)
    }
    return Brought(filling.fill_document(ranking), {"best": to_svg(fill_row(ranking))}, proposals)


def preview(kept: PlanMemory, _step: Step, path: str, kind: str, edits: tuple[Edit, ...]) -> Brought:
    """Return how a kind would be with changes that are not written."""
    from hollowglow.draw.sheet.svg import to_svg
    from hollowglow.jobs.filling.fill_preview import preview_document, preview_file, preview_picture

    made = preview_file(path, kind, edits, kept.light)
    kept.light = made.computed
    drawn = preview_picture(made)
    return Brought(preview_document(made), {} if drawn is None else {"glow": to_svg(drawn)}, {})


def _with(kind: str, candidate: Candidate) -> tuple[Edit, ...]:
    """Return what puts a candidate into a kind; where its lights were set by hand, that goes."""
    inside = ("kinds", kind, "fill")
    gone = (Remove((*inside, key)) for key in ("positions", "axes"))
    return (
        Put((*inside, "light"), candidate.light),
        Put((*inside, "count"), candidate.count),
        Put((*inside, "arrangement"), candidate.arrangement)
        if candidate.arrangement
        else Remove((*inside, "arrangement")),
        *gone,
    )


def match(
    _kept: PlanMemory, step: Step, path: str, by: By | None, share: str | None, luminance: str | None, white: str | None
) -> Brought:
    """Return the levels that make unlike kinds look alike, with the kinds before and after and the fades left."""
    from hollowglow.draw.sheet.svg import to_svg
    from hollowglow.file.store.files import read_text
    from hollowglow.file.text.source import parse_text
    from hollowglow.jobs.matching import match as matching
    from hollowglow.jobs.matching.pictures import before_and_after, fades_left
    from hollowglow.web.rooms.match import task as measuring

    target = matching.read_target(by, share, measuring.luminance_of(luminance), white)
    made = matching.match_file(path, target, progress=lambda name: step(0, 1, name))
    stated = parse_text(read_text(Path(path)), path).data
    edits = matching.level_edits(made, stated)
    proposals = {"levels": Proposal(edits, matching.LEVELS_THAT_MATCH)} if edits else {}
    pictures = {"before-after": to_svg(before_and_after(made)), "fades": to_svg(fades_left(made))}
    return Brought(matching.match_document(made), pictures, proposals)


def tolerance(_kept: PlanMemory, step: Step, path: str) -> Brought:
    """Return how surely a display stays within its limits, real parts being what they are."""
    from hollowglow.jobs.tolerance import document, tolerance_file

    sampled = tolerance_file(path, progress=lambda done, all_: step(done, all_, f"{done:,} of {all_:,}"))
    return Brought(document(*sampled), {}, {})


def book(kept: PlanMemory, step: Step, path: str, paper: Paper, units: Units) -> Brought:
    """Return the build book of a display file as PDF."""
    from hollowglow.web.rooms.book import downloads as taking

    return _taken(*taking.book(path, paper, units, step, kept.plan))


def labels(kept: PlanMemory, step: Step, path: str, sheet: str, address: str, units: Units) -> Brought:
    """Return the labels of a display file as PDF."""
    from hollowglow.web.rooms.book import downloads as taking

    return _taken(*taking.labels(path, sheet, address, units, step, kept.plan))


def export(kept: PlanMemory, step: Step, path: str) -> Brought:
    """Return a display file in every open form, packed together."""
    from hollowglow.web.rooms.book import downloads as taking

    return _taken(*taking.export(path, step, kept.plan))


def _taken(name: str, content: bytes, words: str) -> Brought:
    return Brought({"file": name, "kilobytes": -(-len(content) // 1000), "words": words}, {}, {}, files={name: content})


def _measuring(name: str) -> Callable[..., Brought]:
    def measure(*args: Any) -> Brought:
        from hollowglow.web.rooms.match import task as measuring

        made: Brought = getattr(measuring, name)(*args)
        return made

    return measure


TASKS: dict[str, Callable[..., Any]] = {
    "plan": plan,
    "feed": feed,
    "fill": fill,
    "match": match,
    "preview": preview,
    "tolerance": tolerance,
    "photographs": _measuring("photographs"),
    "named": _measuring("named"),
    "metered": _measuring("metered"),
    "book": book,
    "labels": labels,
    "export": export,
}
