"""What can be taken away from the workbench: the book, labels, open forms, each as one file with its name and a word on it."""

from __future__ import annotations

import io
import tempfile
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from hollowglow.book import BookRequest, make_book, make_labels, stamp_of
from hollowglow.draw.labels.sheets import sheet_size
from hollowglow.file.store.writing import file_stem
from hollowglow.jobs.export.forms import FORMS, NAMES, write_forms
from hollowglow.jobs.plan import plan_file
from hollowglow.plan import STEPS, Plan, Progress
from hollowglow.view.open_forms import place_words

if TYPE_CHECKING:
    from hollowglow.book.request import Paper
    from hollowglow.quantity.reader import Units

Step = Callable[[int, int, str], None]
Taken = tuple[str, bytes, str]
# The same bytes for the same display: a zip file holds a time for each of its files.
_NO_TIME = (1980, 1, 1, 0, 0, 0)


def _bar(step: Step, more: tuple[str, ...]) -> Progress:
    """Return what tells a bar the steps of the plan and those that come after it."""
    steps = (*STEPS, *more)
    far = 0

    def told(name: str) -> None:
        nonlocal far
        far = max(far, steps.index(name) if name in steps else far)
        step(far, len(steps), name)

    return told


def _stem(plan: Plan) -> str:
    return file_stem(plan.assembly.display.display, set())[:60]


def book(path: str, paper: Paper, units: Units, step: Step, before: Plan | None) -> Taken:
    """Return the build book."""
    progress = _bar(step, ("chapters", "typeset"))
    plan = plan_file(path, progress, before)
    request = BookRequest(paper, units)
    made = make_book(plan, stamp_of(Path(path), request), request, progress, Path(path).parent)
    stops = sum(f.severity == "stop" for f in plan.findings)
    words = (
        "" if not stops else f"{stops} finding{'s say' if stops > 1 else ' says'} not to build yet; the sheets say why."
    )
    return f"{_stem(plan)}-book.pdf", made, words


def labels(path: str, sheet: str, address: str, units: Units, step: Step, before: Plan | None) -> Taken:
    """Return the labels; raises Refusal where there is no such sheet."""
    size = sheet_size(sheet)
    progress = _bar(step, ("labels",))
    plan = plan_file(path, progress, before)
    progress("labels")
    made = make_labels(plan, stamp_of(Path(path), BookRequest()), size, address, units)
    return f"{_stem(plan)}-labels.pdf", made, f"For sheets {sheet}; print at 100 %."


def export(path: str, step: Step, before: Plan | None) -> Taken:
    """Return every open form in one zip file."""
    progress = _bar(step, NAMES)
    plan = plan_file(path, progress, before)
    packed = io.BytesIO()
    with tempfile.TemporaryDirectory() as folder, zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for written in sorted(write_forms(plan, Path(folder), FORMS, progress)):
            archive.writestr(zipfile.ZipInfo(written.name, _NO_TIME), written.read_bytes(), zipfile.ZIP_DEFLATED)
    return f"{_stem(plan)}.zip", packed.getvalue(), f"Props are {place_words(plan)}."
