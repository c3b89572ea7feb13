"""The file itself: the same bytes, the same look everywhere, and trouble told before the work."""

from __future__ import annotations

import hashlib
import re
import shutil
import subprocess
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

from strandwright.book import BookWish, book_file, stamp_of
from strandwright.errors import UseError
from strandwright.jobs.demo import write_demo
from tests.book.reading import pages
from tests.cli.running import run


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demo")
    write_demo(folder / "demo")
    return folder / "demo" / "landing.yaml"


def test_the_same_file_gives_the_same_bytes_wherever_it_lies(demo: Path, tmp_path: Path) -> None:
    copy = tmp_path / "elsewhere.yaml"
    shutil.copy2(demo, copy)
    for place, file in (("one.pdf", demo), ("two.pdf", copy)):
        book_file(file, tmp_path / place)
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()


def test_the_fingerprint_is_the_start_of_the_file_s_sha_256_and_the_date_that_of_its_last_change(demo: Path) -> None:
    stamp = stamp_of(demo, BookWish())
    assert stamp.fingerprint.replace(" ", "") == hashlib.sha256(demo.read_bytes()).hexdigest()[:12]
    assert stamp.date == datetime.fromtimestamp(demo.stat().st_mtime, UTC).date()
    assert stamp_of(demo, BookWish(date=date(2020, 2, 29))).date == date(2020, 2, 29)


def test_only_fonts_that_come_along_are_used_and_all_are_in_the_file(demo: Path, tmp_path: Path) -> None:
    book_file(demo, tmp_path / "book.pdf")
    told = subprocess.run(["pdffonts", str(tmp_path / "book.pdf")], capture_output=True, check=True, text=True).stdout
    names = {re.split(r"[+ ]", line)[1] for line in told.splitlines()[2:]}
    assert names
    assert all(name.startswith(("LibertinusSerif", "DejaVuSansMono")) for name in names)
    assert not re.search(r"\bno +(yes|no) +(yes|no) +\d+ +\d+$", told, re.M)


@pytest.mark.parametrize(("paper", "size"), [("a4", "595.276 x 841.89"), ("letter", "612 x 792")])
def test_the_command_writes_the_paper_that_was_asked_for(demo: Path, paper: str, size: str, tmp_path: Path) -> None:
    place = tmp_path / "b.pdf"
    done = run("book", demo, "-o", place, "--paper", paper, "--date", "2026-12-01")
    assert (done.returncode, done.stderr) == (1, "")
    assert done.stdout.splitlines() == [
        f"wrote {place}",
        "1 finding says not to build yet; the sheets say where and why.",
    ]
    told = subprocess.run(["pdfinfo", str(place)], capture_output=True, check=True, text=True).stdout
    assert size in told
    assert "Ferry landing, winter walk" in told
    assert "as of 2026-12-01" in pages(place)[0]


def test_a_display_without_a_stop_ends_with_status_0(demo: Path, tmp_path: Path) -> None:
    done = run("book", demo.with_name("landing-mended.yaml"), "-o", tmp_path / "b.pdf")
    assert (done.returncode, done.stdout) == (0, f"wrote {tmp_path / 'b.pdf'}\n")


def test_a_place_that_cannot_be_written_is_told_before_the_file_is_even_read(tmp_path: Path) -> None:
    missing = tmp_path / "none" / "book.pdf"
    steps: list[str] = []
    with pytest.raises(UseError) as told:
        book_file(tmp_path / "no-such.yaml", missing, BookWish(), steps.append)
    assert str(told.value) == f"{missing} cannot be written (No such file or directory). Choose another place."
    with pytest.raises(UseError) as told:
        book_file(tmp_path / "no-such.yaml", tmp_path, BookWish(), steps.append)
    assert str(told.value) == f"{tmp_path} is a folder. Name a file in it, such as {tmp_path / 'book.pdf'}."
    assert steps == []
    assert list(tmp_path.iterdir()) == []


def test_a_display_that_holds_almost_nothing_makes_a_book_too(tmp_path: Path) -> None:
    file = tmp_path / "bare.yaml"
    file.write_text("display: Nothing yet\n", encoding="utf-8")
    plan = book_file(file, tmp_path / "book.pdf", BookWish())
    assert plan.findings == ()
    assert "Nothing yet" in pages(tmp_path / "book.pdf")[0]
