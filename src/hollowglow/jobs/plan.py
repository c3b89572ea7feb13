"""The main job: a display file read, expanded, analysed and judged."""

from __future__ import annotations

import time
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from hollowglow.file import load, load_text
from hollowglow.quantity.shown import visible

if TYPE_CHECKING:
    from pathlib import Path

    from hollowglow.plan import Plan, Progress


def plan_file(
    path: Path | str, progress: Progress = lambda _step: None, before: Plan | None = None, text: str | None = None
) -> Plan:
    """Return the plan of a display file.

    Args:
        path: of the display file.
        progress: called with the name of each step as it begins.
        before: an earlier plan of the same file; what has not changed since is taken from it where that saves time.
        text: what the file is taken to say, None for what it says on disk.

    Raises:
        DisplayError: when the file cannot be read; it carries every problem with its line.
    """
    # What computes takes longest to load of everything, and not everyone who asks for a job wants a plan.
    from hollowglow.jobs.matching.measured import kept_readings
    from hollowglow.plan import make_plan

    progress("load")
    start = time.perf_counter()
    display = load(path) if text is None else load_text(text, visible(str(path)))
    readings = kept_readings(path, display)
    loaded = time.perf_counter() - start
    plan = make_plan(display, progress, readings, before)
    return replace(plan, timings={"load": loaded} | plan.timings)


def plan_document(path: Path | str) -> dict[str, Any]:
    """Return the plan of a display file as the JSON document's plain data; raises as `plan_file` does."""
    from hollowglow.view.rows.document import document

    return document(plan_file(path))
