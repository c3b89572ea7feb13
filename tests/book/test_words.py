"""Everything that the plan knows stands in the book, on every page whose book it is, and what must not be built says so."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest

from hollowglow.analysis.money.cost import cut_list
from hollowglow.assembly.ids import cable_ids, fuse_ids, prop_ids
from hollowglow.book import BookRequest
from hollowglow.file import load_text
from hollowglow.jobs.export.tables import addresses
from hollowglow.messages.told import phrase
from hollowglow.plan import make_plan
from hollowglow.quantity.reader import Units
from tests.assembly.samples import planned, stated
from tests.book.conftest import FIRST, MENDED, Books
from tests.book.reading import DAY, overprinted, pages, squeezed, written
from tests.outside.displays import dump


@pytest.mark.parametrize("name", [FIRST, MENDED])
def test_every_prop_string_kind_supply_fuse_part_and_finding_stands_in_the_book(books: Books, name: str) -> None:
    plan, read = books.plan(name), books.pages(name)
    text = squeezed(" ".join(read))
    assembly = plan.assembly
    sought = [
        *prop_ids(assembly),
        *assembly.strings.names,
        *assembly.kinds.names,
        *assembly.supplies,
        *assembly.controllers,
        *fuse_ids(assembly),
        *(line.part for line in plan.cost.bill.lines),
        *(part for f in plan.findings for part in (f.code, f.message, f.mend, f.basis)),
        *(s.about for s in assembly.display.strings.values()),
        *(phrase(step.how) for made in plan.making.kinds for step in made.steps),
    ]
    assert [words for words in sought if squeezed(words) not in text] == []


def test_every_cell_stands_beside_its_slots(books: Books) -> None:
    plan, read = books.plan(FIRST), books.pages(FIRST)
    text = squeezed(" ".join(page for page in read if "Addresses" in page))
    for row in addresses(plan):
        assert f"{row['universe']}/{row['first_slot']}–{row['last_slot']}" in text
        assert squeezed(row["prop"]) in text


def test_every_cable_that_is_cut_and_hung_stands_with_its_label(books: Books) -> None:
    plan, read = books.plan(FIRST), books.pages(FIRST)
    text = squeezed(" ".join(page for page in read if "Strings" in page))
    pieces = cut_list(plan.assembly)
    hung = [name for name, use in zip(pieces.id, pieces.use, strict=True) if use in ("lead", "span", "feed")]
    assert len(hung) > 40
    assert [name for name in hung if name not in text] == []
    assert cable_ids(plan.assembly)[0] in text


def test_every_page_tells_which_book_it_is(books: Books) -> None:
    read = books.pages(FIRST)
    stamps = set()
    for number, page in enumerate(read, 1):
        assert f"page {number} of {len(read)}" in page
        assert "as of 2026-11-25" in page
        stamps |= set(re.findall(r"file ([0-9a-f]{4} [0-9a-f]{4} [0-9a-f]{4})", page))
        assert "Ferry landing, winter walk" in page
    assert len(stamps) == 1


def test_what_a_stop_touches_must_not_be_built_yet_and_nothing_else(books: Books) -> None:
    plan, read = books.plan(FIRST), books.pages(FIRST)
    (stop,) = [f for f in plan.findings if f.severity == "stop"]
    assert stop.where == ("spruce/fuse", "spruce/lead/joint")
    marked = [page for page in read if "DO NOT BUILD YET" in page]
    assert all(squeezed(stop.message) in squeezed(page) for page in marked)
    spruce = [page for page in read if re.search(r"^Strings$", page, re.M) and "spruce/prop01" in page]
    assert len(spruce) >= 1
    assert all(page in marked for page in spruce)
    assert not any("DO NOT" in page for page in read if re.search(r"^Strings$", page, re.M) and "door/prop01" in page)
    mended = books.pages(MENDED)
    assert not any("DO NOT BUILD YET" in page for page in mended)


def test_every_page_of_what_a_stop_touches_says_so_and_why(tmp_path: Path) -> None:
    kind = {
        "shell": {"shape": "cylinder", "diameter": "300 mm", "height": "300 mm"},
        "carrier": {"shape": "plate", "width": "280 mm", "height": "280 mm", "above_base": "10 mm"},
        "fill": {"light": "bullet-12mm-12v", "count": 16},
        "pigtail": {"cable": "cable-3x18awg", "length": "150 mm", "plug": "plug-3pin-18awg"},
        "gland": {"part": "gland-pg7", "count": 2},
    }
    display = stated(props="60 * float", kind=kind, string={"span": {"extension": "extension-20awg-1m"}})
    display["strings"]["safe"] = {**display["strings"]["rail"], "output": "box/2", "props": "24 * good"}
    display["strings"]["safe"] |= {"span": {"extension": "extension-18awg-1m"}, "fuse": "2 A"}
    display["kinds"]["good"] = {"fill": {"light": "light"}, "pigtail": kind["pigtail"]}
    display["supplies"]["idle"] = {"voltage": "12 V", "rating": "20 W"}
    plan = planned(display)
    stops = [f for f in plan.findings if f.severity == "stop"]
    assert any("float" in f.where for f in stops)
    assert not any(place.split("/")[0] in ("safe", "good") for f in stops for place in f.where)
    read = pages(written(plan, tmp_path))
    templates = [page for page in read if "float: templates" in page]
    assert len(templates) > 2
    told = [
        page
        for page in read
        if "Commissioning" in page.splitlines()[:4] or "Hanging and packing" in page.splitlines()[:4]
    ]
    rail = [page for page in told if "rail/" in page and "Boxes" not in page and "put in" not in page]
    safe = [page for page in told if "safe/" in page and "rail/" not in page and "put in" not in page]
    assert len(rail) > 3
    assert len(safe) > 0
    assert all("DO NOT BUILD YET" in page for page in (*templates, *rail))
    assert all(any(squeezed(f.message)[:60] in squeezed(page) for f in stops) for page in (*templates, *rail))
    assert not any("DO NOT BUILD YET" in page for page in safe)
    assert "Nothing is fed from idle. The file states" in " ".join(" ".join(read).split())


def test_a_title_too_long_for_the_head_of_a_page_is_cut_not_wrapped(tmp_path: Path) -> None:
    read = pages(written(planned(stated(display="long words " * 18)), tmp_path))
    heads = subprocess.run(
        ["pdftotext", "-q", "-bbox", str(tmp_path / "book.pdf"), "-"], capture_output=True, check=True, timeout=60
    ).stdout.decode()
    for page in heads.split("<page ")[2:]:
        tops = {
            float(top) for top, word in re.findall(r'yMin="([\d.]+)"[^>]*>(\w+)<', page) if word in ("long", "words")
        }
        assert len({round(top) for top in tops if top < 60}) == 1
    assert len(read) > 3


BALL = {"shell": {"shape": "sphere", "diameter": "150 mm"}, "fill": {"light": "bullet-12mm-12v"}}

HOSTILE = [
    "*bold* _it_ `raw` $x$ #panic() <label> @ref \\ // /* {[(",
    '"quotes" \'single\' & <b>html</b> <svg onload="x">',
    '#import "x.typ": * #eval("1") #read("/etc/passwd")',
    "Sterne und Äste, été, Zürich, Łódź, Ελληνικά, Кириллица",
    "中文 日本語 한국어 العربية עברית हिन्दी",
    "🎄✨🕯️",
    "x" * 200,
    "long words " * 18,
]


@pytest.mark.parametrize("name", HOSTILE)
def test_names_with_any_characters_are_printed_and_never_read_as_markup(name: str, tmp_path: Path) -> None:
    kind = {"about": name, "fill": {"light": "bullet-12mm-12v"}}
    display = stated(props="3 * float", kind=kind, string={"about": name}, display=name, about=name)
    plan = planned(display)
    read = pages(written(plan, tmp_path))
    if name.isascii():
        assert squeezed(name) in squeezed(read[0])
    assert all(f"of {len(read)}" in page for page in read)


def test_the_widest_letters_are_printed_over_nothing(tmp_path: Path) -> None:
    text = (
        dump(stated(props="2 * float")).replace("rail", "W" * 60).replace("float", "M" * 60).replace("shed", "m" * 60)
    )
    assert overprinted(written(make_plan(load_text(text)), tmp_path)) == []


def test_ids_of_the_longest_names_stay_on_the_page(tmp_path: Path) -> None:
    text = dump(stated(props="2 * float")).replace("rail", "r" * 60).replace("float", "f" * 60)
    plan = make_plan(load_text(text))
    pdf = written(plan, tmp_path)
    assert overprinted(pdf) == []
    read = squeezed(" ".join(pages(pdf)))
    assert "r" * 60 + "/prop02" in read
    assert "f" * 60 in read


METRIC = r"\d[\d.,]* (?:mm|m|g|kg)\b"
US = r"\d[\d.,/]* (?:in|ft|oz|lb)\b"


@pytest.mark.parametrize(
    ("units", "lead", "drain", "other"),
    [
        ("metric", "4.06 m", "150 mm", US),
        ("us", "13 ft 3 7/8 in", "5.91 in", METRIC),
        ("both", "4.06 m / 13 ft 3 7/8 in", "150 mm / 5.91 in", None),
    ],
)
def test_lengths_come_in_the_units_that_were_asked_for(
    units: Units, lead: str, drain: str, other: str | None, tmp_path: Path
) -> None:
    # 4.06 m / 25.4 mm = 159.84 in = 13 ft 3.84 in, on a tape 13 ft 3 7/8 in.
    run = {"cable": "wire", "length": "4 m"}
    kind = {
        **BALL,
        "gland": {"part": "gland-pg7", "count": 2},
        "pigtail": {"cable": "cable-3x18awg", "length": "150 mm"},
        "carrier": {"shape": "disc", "diameter": "60 mm", "above_base": "70 mm"},
        "fill": {"light": "bullet-12mm-12v", "count": 12},
    }
    plan = planned(stated(props="2 * float", kind=kind, string={"lead": run}, drip_loop="60 mm"))
    read = [" ".join(page.split()) for page in pages(written(plan, tmp_path, BookRequest(units=units, date=DAY)))]
    assert lead in next(page for page in read if "rail/lead" in page)
    built = " ".join(page for page in read if "Build sheets" in page[:120])
    place = re.search("on the axis, ([^/]+ (?:mm|in)(?: / [^/]+ in)?) above the base", built)
    assert place is not None
    assert place[1] == drain
    assert {"metric": "are metric.", "us": "are US.", "both": "side by side"}[units] in read[1]
    if other is None:
        return
    # What a sheet says outside its bars of a scale and its axes is in the reader's units: tables, steps, sections, findings.
    findings = next(page for page in read if "Findings still open" in page)
    assert any("mm (" in f.mend or "mm (" in f.message for f in plan.findings)
    assert re.findall(other, findings) == []
    steps = built[built.index("Holes of one prop") :]
    assert "drill" in steps
    assert re.findall(other, steps) == []
    section = built[: built.index("scale 1:")]
    assert [words for words in re.findall(other, section) if not re.fullmatch(r"(?:50|100) mm|[1-6] in", words)] == []
    assert re.findall(other, next(page for page in read if "rail/lead" in page).split("Where power comes in")[1]) == []
