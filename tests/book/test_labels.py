"""Labels on paper: every code is read by a reader of its own and holds the id of its label."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

import cv2
import pytest
import zxingcpp

from strandwright.book import BookWish, book_file
from strandwright.build.ids import prop_ids
from strandwright.errors import UseError
from strandwright.jobs.demo import write_demo
from tests.book.reading import drawn, pages
from tests.cli.running import run

SHEETS = ["a4-63.5x38.1", "letter-66.7x25.4"]


@pytest.mark.parametrize("sheet", SHEETS)
def test_the_codes_hold_the_ids_of_all_props_supplies_and_boxes(sheet: str, tmp_path: Path) -> None:
    _, file = write_demo(tmp_path / "demo")
    plan = book_file(file, tmp_path / "b.pdf", BookWish(labels=sheet))
    labels = tmp_path / "b-labels.pdf"
    read: Counter[str] = Counter()
    for page in range(1, len(pages(labels)) + 1):
        grey = cv2.cvtColor(drawn(labels, page, 200), cv2.COLOR_RGB2GRAY)
        read.update(code.text for code in zxingcpp.read_barcodes(grey))
    for name in (*prop_ids(plan.build), *plan.build.supplies):
        assert read[name] == 1, name
    assert read["rail-shore/lead"] == 2  # one for each end
    assert read["rail-shore/span01"] == 2
    assert read["box01"] == 1


def test_a_code_opens_the_phone_page_where_one_is_set(tmp_path: Path) -> None:
    file, _ = write_demo(tmp_path / "demo")
    wish = BookWish(labels="a4-99.1x67.7", address="http://192.168.1.5:8000/walk")
    book_file(file, tmp_path / "b.pdf", wish)
    grey = cv2.cvtColor(drawn(tmp_path / "b-labels.pdf", 1), cv2.COLOR_RGB2GRAY)
    codes = {code.text for code in zxingcpp.read_barcodes(grey)}
    assert "http://192.168.1.5:8000/walk?id=jetty" in codes


def test_a_sheet_that_is_none_is_told_before_the_work(tmp_path: Path) -> None:
    with pytest.raises(UseError, match=r'^--labels: found "a9-1x1", expected one of a4-70x37'):
        book_file(tmp_path / "none.yaml", tmp_path / "b.pdf", BookWish(labels="a9-1x1"))
    assert list(tmp_path.iterdir()) == []


def test_the_command_says_where_the_labels_went(tmp_path: Path) -> None:
    _, file = write_demo(tmp_path / "demo")
    done = run("book", file, "-o", tmp_path / "b.pdf", "--labels", "a4-70x37")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.splitlines() == [f"wrote {tmp_path / 'b.pdf'}", f"wrote {tmp_path / 'b-labels.pdf'}"]
