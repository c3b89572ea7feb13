"""The file itself: the same bytes, the same look everywhere, and trouble told before the work."""

from __future__ import annotations

import hashlib
import re
import shutil
import subprocess
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from hollowglow.book import BookRequest, book_file, stamp_of
from hollowglow.book.request import Paper
from hollowglow.messages.refusal import Refusal
from tests.assembly.samples import stated
from tests.book.conftest import FIRST, MENDED, Books
from tests.book.reading import DAY, pages
from tests.cli.running import run
from tests.outside.displays import dump


def test_the_same_file_gives_the_same_bytes_wherever_it_lies(books: Books, tmp_path: Path) -> None:
    copy = tmp_path / "elsewhere.yaml"
    shutil.copy2(books.file(MENDED), copy)
    book_file(copy, tmp_path / "two.pdf", BookRequest(date=DAY))
    assert (tmp_path / "two.pdf").read_bytes() == books.pdf(MENDED).read_bytes()


def test_the_fingerprint_is_the_start_of_the_file_s_sha_256_and_the_date_that_of_its_last_change(books: Books) -> None:
    demo = books.file(FIRST)
    stamp = stamp_of(demo, BookRequest())
    assert stamp.fingerprint.replace(" ", "") == hashlib.sha256(demo.read_bytes()).hexdigest()[:12]
    assert stamp.date == datetime.fromtimestamp(demo.stat().st_mtime, UTC).date()
    assert stamp_of(demo, BookRequest(date=date(2020, 2, 29))).date == date(2020, 2, 29)


def test_only_fonts_that_come_along_are_used_and_all_are_in_the_file(books: Books) -> None:
    told = subprocess.run(["pdffonts", str(books.pdf(FIRST))], capture_output=True, check=True, text=True).stdout
    names = {re.split(r"[+ ]", line)[1] for line in told.splitlines()[2:]}
    assert names
    assert all(name.startswith(("LibertinusSerif", "DejaVuSansMono")) for name in names)
    assert not re.search(r"\bno +(yes|no) +(yes|no) +\d+ +\d+$", told, re.M)


@pytest.mark.parametrize(("paper", "size"), [("a4", "595.276 x 841.89"), ("letter", "612 x 792")])
def test_a_book_has_the_paper_that_was_asked_for(books: Books, paper: Paper, size: str) -> None:
    pdf = books.pdf(FIRST, BookRequest(paper=paper, date=DAY))
    told = subprocess.run(["pdfinfo", str(pdf)], capture_output=True, check=True, text=True).stdout
    assert size in told
    assert "Ferry landing, winter walk" in told


def test_the_command_makes_the_book_that_was_asked_for(tmp_path: Path) -> None:
    file, place = tmp_path / "odd.yaml", tmp_path / "b.pdf"
    splice = {"joint": {"resistance": "5 mohm", "rating": "3 A"}}
    span = {"cable": "wire", "length": "1 m", "joint": "splice"}
    display = stated(props="2 * float", parts={"splice": splice}, string={"span": span, "fuse": "5 A"})
    file.write_text(dump(display), encoding="utf-8")
    done = run("book", file, "-o", place, "--paper", "letter", "--date", "2026-12-01", "--units", "us")
    assert (done.returncode, done.stderr) == (1, "")
    assert done.stdout.splitlines() == [
        f"wrote {place}",
        "1 finding says not to build yet; the sheets say where and why.",
    ]
    told = subprocess.run(["pdfinfo", str(place)], capture_output=True, check=True, text=True).stdout
    assert "612 x 792" in told
    read = pages(place)
    assert "as of 2026-12-01" in read[0]
    assert "Lengths and masses are US." in " ".join(read[1].split())


def test_a_place_that_cannot_be_written_is_told_before_the_file_is_even_read(tmp_path: Path) -> None:
    missing = tmp_path / "none" / "book.pdf"
    steps: list[str] = []
    with pytest.raises(Refusal) as told:
        book_file(tmp_path / "no-such.yaml", missing, BookRequest(), steps.append)
    assert str(told.value) == f"{missing} cannot be written (No such file or directory). Choose another place."
    with pytest.raises(Refusal) as told:
        book_file(tmp_path / "no-such.yaml", tmp_path, BookRequest(), steps.append)
    assert str(told.value) == f"{tmp_path} is a folder. Name a file in it, such as {tmp_path / 'book.pdf'}."
    assert steps == []
    assert list(tmp_path.iterdir()) == []


def test_a_display_that_holds_almost_nothing_makes_a_book_too(tmp_path: Path) -> None:
    file = tmp_path / "bare.yaml"
    file.write_text("display: Nothing yet\n", encoding="utf-8")
    plan = book_file(file, tmp_path / "book.pdf", BookRequest())
    assert plan.findings == ()
    assert "Nothing yet" in pages(tmp_path / "book.pdf")[0]
