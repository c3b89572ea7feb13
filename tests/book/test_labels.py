"""Labels on paper: every code is read by a reader of its own and holds the id of its label."""

from __future__ import annotations

import re
from collections import Counter
from pathlib import Path

import cv2
import pytest
import zxingcpp

from hollowglow.assembly.ids import prop_ids
from hollowglow.book import BookRequest, book_file
from hollowglow.messages.refusal import Refusal
from tests.assembly.samples import stated
from tests.book.conftest import MENDED, Books
from tests.book.reading import drawn, pages
from tests.cli.running import run
from tests.outside.displays import dump

SHEETS = ["a4-63.5x38.1", "letter-66.7x25.4"]


@pytest.mark.parametrize("sheet", SHEETS)
def test_the_codes_hold_the_ids_of_all_props_supplies_and_boxes(books: Books, sheet: str) -> None:
    plan, labels = books.plan(MENDED), books.labels(MENDED, sheet)
    read: Counter[str] = Counter()
    for page in range(1, len(pages(labels)) + 1):
        grey = cv2.cvtColor(drawn(labels, page, 150), cv2.COLOR_RGB2GRAY)
        read.update(code.text for code in zxingcpp.read_barcodes(grey))
    for name in (*prop_ids(plan.assembly), *plan.assembly.supplies):
        assert read[name] == 1, name
    assert read["rail-shore/lead"] == 2  # one for each end
    assert read["rail-shore/span01"] == 2
    assert read["box01"] == 1


def test_a_code_opens_the_phone_page_where_one_is_set(books: Books) -> None:
    labels = books.labels(MENDED, "a4-99.1x67.7", "http://192.168.1.5:8000/walk")
    grey = cv2.cvtColor(drawn(labels, 1), cv2.COLOR_RGB2GRAY)
    codes = {code.text for code in zxingcpp.read_barcodes(grey)}
    assert "http://192.168.1.5:8000/walk?id=jetty" in codes


def test_a_sheet_that_is_none_is_told_before_the_work(tmp_path: Path) -> None:
    with pytest.raises(Refusal, match=r'^labels: found "a9-1x1", expected one of a4-70x37'):
        book_file(tmp_path / "none.yaml", tmp_path / "b.pdf", BookRequest(labels="a9-1x1"))
    assert list(tmp_path.iterdir()) == []


def test_the_command_says_where_the_labels_went(tmp_path: Path) -> None:
    file = tmp_path / "two.yaml"
    file.write_text(dump(stated(props="2 * float")), encoding="utf-8")
    done = run("book", file, "-o", tmp_path / "b.pdf", "--labels", "a4-70x37")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.splitlines() == [f"wrote {tmp_path / 'b.pdf'}", f"wrote {tmp_path / 'b-labels.pdf'}"]


@pytest.mark.parametrize("sheet", ["a4-70x37", "letter-66.7x25.4"])
def test_every_sheet_of_labels_tells_which_book_it_belongs_to(books: Books, sheet: str) -> None:
    book = re.findall("file ([0-9a-f ]{14})", books.pages(MENDED)[0])
    read = pages(books.labels(MENDED, sheet))
    for number, page in enumerate(read, 1):
        words = " ".join(page.split())
        assert f"file {book[0]}" in words
        assert "Ferry landing, winter walk" in words
        assert "as of 2026-11-25" in words
        assert f"sheet {number} of {len(read)}" in words
