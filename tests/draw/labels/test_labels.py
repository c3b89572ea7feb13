"""Labels: every code is decoded by another library to the right id, from the drawn sheet as printed at 300 dpi."""

from __future__ import annotations

import numpy as np
import pytest
import zxingcpp
from PIL import Image

from hollowglow.analysis.site.packing import analyse as pack
from hollowglow.analysis.site.packing import things
from hollowglow.assembly.ids import prop_ids
from hollowglow.draw.labels.codes import code_text, modules
from hollowglow.draw.labels.label_sheet import Label, label_sheets
from hollowglow.draw.labels.sheets import SHEETS, sheet_size
from hollowglow.draw.sheet.layout import record_box
from hollowglow.draw.sheet.records import Drawing, Text
from hollowglow.draw.sheet.records import Image as Code
from hollowglow.file import load_text
from hollowglow.messages.refusal import Refusal
from hollowglow.plan import Plan, make_plan
from hollowglow.view.rows.labels import labels
from tests.assembly.samples import stated
from tests.outside.displays import dump

DPI = 300


@pytest.fixture(scope="module")
def plan() -> Plan:
    return make_plan(load_text(dump(stated(props="4 * float", display="Häfen & <Stege> ✨"))))


def codes(sheet: Drawing) -> list[tuple[Code, str]]:
    """Each code of a sheet with what it is read as, from the sheet as a printer would put it on paper."""
    per_mm = DPI / 25.4
    paper = Image.new("RGB", (round(sheet.width_mm * per_mm), round(sheet.height_mm * per_mm)), "white")
    found = []
    for one in (r for r in sheet.records if isinstance(r, Code)):
        image = Image.frombytes("RGB", (one.columns, one.rows), one.pixels)
        side = round(one.width * per_mm)
        image = image.resize((side, side), Image.Resampling.BILINEAR)
        paper.paste(image, (round(one.x * per_mm), round(one.y * per_mm)))
        read = zxingcpp.read_barcodes(np.array(image))
        found.append((one, read[0].text if read else ""))
    assert len(zxingcpp.read_barcodes(np.array(paper))) == len(found)
    return found


@pytest.mark.parametrize("name", [*SHEETS, "a4-40x20", "letter-50x30"])
@pytest.mark.parametrize("address", ["", "http://192.168.1.20:8800/walk"])
def test_every_code_reads_as_its_id(plan: Plan, name: str, address: str) -> None:
    packed = pack(plan.assembly.display.packing, things(plan.assembly, {}))
    made = list(labels(plan.assembly, plan.signal, packed, address))
    size = sheet_size(name)
    sheets = list(label_sheets("Test", made, size))
    assert len(sheets) == -(-len(made) // size.count)
    read = [text for sheet in sheets for _, text in codes(sheet)]
    assert read == [code_text(label.id, address) for label in made]


def test_everything_that_is_asked_for_has_its_label(plan: Plan) -> None:
    packed = pack(plan.assembly.display.packing, things(plan.assembly, {}))
    ids = [label.id for label in labels(plan.assembly, plan.signal, packed)]
    assert set(prop_ids(plan.assembly)) <= set(ids)
    # One lead and three spans with two ends each, a supply, a box.
    assert ids.count("rail/lead") == ids.count("rail/span02") == 2
    assert len(ids) == 1 + 2 * 4 + 4 + 1


@pytest.mark.parametrize("name", SHEETS)
def test_labels_lie_on_the_page_and_do_not_overlap(name: str) -> None:
    size = SHEETS[name]
    for axis, count in ((0, size.columns), (1, size.rows)):
        assert size.pitch[axis] >= size.label[axis]
        end = size.first[axis] + (count - 1) * size.pitch[axis] + size.label[axis]
        assert 0.0 <= size.first[axis] < end <= size.page[axis] + 1e-9
        assert size.first[axis] == pytest.approx(size.page[axis] - end, abs=0.2)


@pytest.mark.parametrize("name", ["a5-70x37", "a4", "a4-0x0", "a4-10x10", "letter-300x50", "a4-70x37mm"])
def test_a_sheet_that_is_none_is_refused_with_a_way_out(name: str) -> None:
    with pytest.raises(Refusal, match="expected one of a4-70x37"):
        sheet_size(name)


def test_any_text_survives_its_code() -> None:
    for text in ("rail/prop07", "Hütte & <b>/prop01", "灯/prop01", "x" * 200):
        code = np.array(modules(text), dtype=np.uint8)
        grey = np.pad(255 * (1 - code), 4, constant_values=255).astype(np.uint8).repeat(6, 0).repeat(6, 1)
        assert zxingcpp.read_barcodes(grey)[0].text == text


def words_of(sheet: Drawing) -> list[str]:
    return [record.text for record in sheet.records if isinstance(record, Text)]


@pytest.mark.parametrize("sheet", ["a4-70x37", "a4-48.5x25.4", "letter-66.7x25.4"])
def test_no_word_of_a_long_label_is_lost_nor_leaves_it(sheet: str) -> None:
    size = sheet_size(sheet)
    lines = ("this end: output controller-in-the-shed/12, supply boathouse", "14.06 m / 46.1 ft, cable-3x18awg")
    label = Label("rail-along-the-jetty/span017", lines, modules("x"))
    (drawn,) = label_sheets("Test", [label], size)
    told = "".join(words_of(drawn)).replace(" ", "")
    for words in (label.id, *lines):
        assert words.replace(" ", "") in told
    for record in drawn.records:
        if isinstance(record, Text):
            assert record.y <= size.first[1] + size.label[1]
            assert record_box(record).right <= size.first[0] + size.label[0]


@pytest.mark.parametrize("sheet", [*SHEETS, "letter-60x30"])
def test_every_sheet_says_which_display_state_day_and_sheet_it_is(plan: Plan, sheet: str) -> None:
    size = sheet_size(sheet)
    made = [Label(f"x{n}", ()) for n in range(size.count + 3)]
    sheets = list(label_sheets("Test", made, size, stamp=("Ferry landing", "file 1234 abcd", "as of 2026-11-25")))
    ids = []
    for number, one in enumerate(sheets, 1):
        told = " ".join(words_of(one))
        for words in ("Ferry landing", "file 1234 abcd", "as of 2026-11-25", f"sheet {number} of {len(sheets)}"):
            assert words in told, words
        ids += [word for word in words_of(one) if word.startswith("x")]
    assert ids == [label.id for label in made]


def test_a_long_name_of_the_display_leaves_the_id_of_a_label_large() -> None:
    def height(display: str) -> float:
        plan = make_plan(load_text(dump(stated(props="1 * float", display=display))))
        made = list(labels(plan.assembly, plan.signal, pack(plan.assembly.display.packing, things(plan.assembly, {}))))
        (sheet, *_) = label_sheets("Test", made, SHEETS["letter-66.7x25.4"])
        return next(r.size_mm for r in sheet.records if isinstance(r, Text) and r.text == "shed")

    assert height("Lichterwald " * 16) > 0.8 * height("Lichterwald")
    assert height("Lichterwald " * 16) > 2.4


def test_the_label_of_a_cable_tells_its_length_as_a_tape_shows_it() -> None:
    # 1.26 m / 25.4 mm = 49.61 in = 4 ft 1 5/8 in; 0.66 m = 25.98 in = 2 ft 2 in.
    runs = {"lead": {"cable": "wire", "length": "1.26 m"}, "span": {"cable": "wire", "length": "660 mm"}}
    plan = make_plan(load_text(dump(stated(props="2 * float", string=runs))))
    packed = pack(plan.assembly.display.packing, things(plan.assembly, {}))
    wanted = {
        "metric": {"1.26 m, wire", "660 mm, wire"},
        "us": {"4 ft 1 5/8 in, wire", "2 ft 2 in, wire"},
        "both": {"1.26 m / 4 ft 1 5/8 in, wire", "660 mm / 2 ft 2 in, wire"},
    }
    for units, words in wanted.items():
        made = labels(plan.assembly, plan.signal, packed, units=units)  # type: ignore[arg-type]
        told = {one.lines[-1] for one in made if one.id.startswith(("rail/lead", "rail/span"))}
        assert {text.replace("\u00a0", " ") for text in told} == words
        assert {text.count(" ") for text in told} == {3 if units == "both" else 1}  # a line is broken elsewhere only
