"""A book from a display file: the plan made, its chapters gathered, typeset, and written whole or not at all."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from hollowglow.analysis.circuit import commission
from hollowglow.book.chapters import addressing, bench, commissioning, front, hanging, shopping, strings, wiring
from hollowglow.book.chapters.assumptions import assumptions_of
from hollowglow.book.contents import TITLES
from hollowglow.book.letters import beyond_ascii, printed_instead
from hollowglow.book.measures import Measures
from hollowglow.book.page_data import BookSource
from hollowglow.book.request import BookRequest, Stamp, fingerprint_of, stamp_of
from hollowglow.book.typeset import typeset
from hollowglow.draw.labels.label_sheet import Label, SheetSize
from hollowglow.draw.labels.label_sheet import label_sheets as draw_labels
from hollowglow.draw.labels.sheets import sheet_size
from hollowglow.draw.sheet.records import Drawing
from hollowglow.draw.yard import YardBackdrop
from hollowglow.file.store.writing import shown, whole_bytes
from hollowglow.jobs import plan_file
from hollowglow.messages.refusal import Refusal
from hollowglow.plan import Plan, Progress, silent
from hollowglow.quantity.reader import Units
from hollowglow.view.pictures.yard import backdrop
from hollowglow.view.rows.labels import labels as all_labels

AS_IS = BookRequest()
_UNITS: dict[Units, str] = {
    "both": "Lengths and masses are metric and US side by side; measure by one of them, never by both in one piece.",
    "metric": "Lengths and masses are metric.",
    "us": "Lengths and masses are US. The ruler of the templates has millimetres on its other edge.",
}


def book_file(file: Path, place: Path, request: BookRequest = AS_IS, progress: Progress = silent) -> Plan:
    """Write the build book of a display file as PDF and return its plan.

    Args:
        file: the display file.
        place: of the PDF.
        request: paper, units, date.
        progress: called with the name of each step as it begins.

    Raises:
        Refusal: when the place cannot be written, or there is no such sheet of labels; before anything else is done.
        DisplayError: when the file cannot be read.
    """
    size = None if request.labels is None else sheet_size(request.labels)
    beside = labels_place(place)
    must_be_writable(place)
    if size is not None:
        must_be_writable(beside)
    plan = plan_file(file, progress)
    stamp = stamp_of(file, request)
    files = {place: make_book(plan, stamp, request, progress, file.parent)}
    if size is not None:
        progress("labels")
        files[beside] = make_labels(plan, stamp, size, request.address, request.units)
    progress("write")
    for path, pdf in files.items():
        with whole_bytes(path) as stream:
            stream.write(pdf)
    return plan


def labels_place(place: Path) -> Path:
    """Return where the labels of a book go: beside it."""
    return place.with_name(f"{place.stem}-labels.pdf")


def make_book(
    plan: Plan, stamp: Stamp, request: BookRequest = AS_IS, progress: Progress = silent, folder: Path | None = None
) -> bytes:
    """Return the PDF of a plan's build book.

    Args:
        plan: of the display.
        stamp: of its file.
        request: paper, units, date.
        progress: called with the name of each step as it begins.
        folder: where the display file is, for the photograph behind its pictures; left out without it.
    """
    progress("chapters")
    behind, words = _backdrop(plan, folder)
    source = BookSource(plan, Measures(request.units), behind=behind, behind_words=words)
    content = gather(source, stamp, request)
    progress("typeset")
    return typeset(content, source.pictures, stamp.date)


def _backdrop(plan: Plan, folder: Path | None) -> tuple[YardBackdrop | None, str]:
    """Return the photograph behind the pictures of a display, and which it is or why it is not there, in words."""
    stated = plan.assembly.display.place.backdrop
    if folder is None or stated is None or not plan.placed.any:
        return None, ""
    try:
        return backdrop(plan, folder), f"Behind it: {stated.picture}, file {fingerprint_of(folder / stated.picture)}."
    except Refusal:  # its words name the folder, and a book is the same wherever its file lies
        return (
            None,
            f"Drawn without its backdrop {stated.picture}: not there, no picture, or its corners are no rectangle.",
        )


def label_sheets(
    plan: Plan, stamp: Stamp, size: SheetSize, address: str = "", units: Units = "both"
) -> Iterator[Drawing]:
    """Yield the sheets of labels of a plan; its codes open the page at `address`, or hold the id alone.

    Lengths and masses are told in `units`.
    """
    made = list(all_labels(plan.assembly, plan.signal, hanging.packed_of(plan), address, units))
    told = (plan.assembly.display.display, f"file {stamp.fingerprint}", f"as of {stamp.date.isoformat()}")
    # What stands for letters that the fonts lack takes another room, so it is set in before a line is broken.
    instead = printed_instead(beyond_ascii([*told, *(text for one in made for text in (one.id, *one.lines))]))
    made = [Label(one.id.translate(instead), tuple(t.translate(instead) for t in one.lines), one.code) for one in made]
    title, *rest = (text.translate(instead) for text in told)
    yield from draw_labels(title, made, size, stamp=(title, *rest))


def make_labels(plan: Plan, stamp: Stamp, size: SheetSize, address: str = "", units: Units = "both") -> bytes:
    """Return the PDF of a plan's labels, a page a sheet, lengths and masses in `units`."""
    source = BookSource(plan, Measures(units))
    sheets = [source.picture(sheet) for sheet in label_sheets(plan, stamp, size, address, units)]
    content = {"name": plan.assembly.display.display, "sheets": sheets}
    return typeset(content, source.pictures, stamp.date, "labels.typ")


def gather(source: BookSource, stamp: Stamp, request: BookRequest) -> dict[str, Any]:
    """Return the content of every chapter as plain data; the source collects their pictures."""
    readings = commission.analyse(source.plan.assembly)
    return {
        "paper": {"a4": "a4", "letter": "us-letter"}[request.paper],
        "fingerprint": stamp.fingerprint,
        "date": stamp.date.isoformat(),
        "units": _UNITS[request.units],
        "ruler": request.units,
        "chapters": list(TITLES.values()),
        "front": front.front(source),
        "cautions": front.cautions(source),
        "findings": front.findings(source),
        "bill": shopping.bill(source),
        "bench": bench.bench(source),
        "strings": strings.strings(source),
        "wiring": wiring.wiring(source),
        "addresses": addressing.addressing(source),
        "hanging": hanging.hanging(source),
        "commissioning": commissioning.commissioning(source, readings),
        "repair": commissioning.repair(source, readings),
        "assumptions": assumptions_of(source),
    }


def must_be_writable(place: Path) -> None:
    """Raise Refusal where a file cannot be written, before the work that would be lost."""
    if place.is_dir():
        raise Refusal(f"{shown(place)} is a folder. Name a file in it, such as {shown(place / 'book.pdf')}.")
    try:
        if place.exists() and not place.is_file():
            return  # a device or a pipe: only writing tells
        if place.exists() and not os.access(place, os.W_OK):
            raise PermissionError(13, "Permission denied")
        with tempfile.NamedTemporaryFile(dir=Path(os.path.realpath(place)).parent):
            pass
    except OSError as error:
        raise Refusal(f"{shown(place)} cannot be written ({error.strerror or error}). Choose another place.") from None
