"""Letters that the book's fonts lack: told in words, in names, pictures and labels, never as empty boxes."""

from __future__ import annotations

import unicodedata
from pathlib import Path

import numpy as np
import pytest
import typst

from hollowglow.book import BookRequest, make_labels, stamp_of
from hollowglow.book.letters import FONTS, beyond_ascii, in_words, led, printed_instead
from hollowglow.draw.labels.sheets import sheet_size
from hollowglow.file import load_text
from hollowglow.plan import make_plan
from tests.assembly.samples import planned, stated
from tests.book.reading import all_drawn, pages, squeezed, written
from tests.outside.displays import dump


@pytest.mark.parametrize(
    ("letter", "words"),
    [
        ("한", "han"),  # Revised Romanization, as Unicode names its syllables
        ("ひ", "hi"),
        ("カ", "ka"),
        ("ல", "la"),
        ("🎄", "[christmas tree]"),
        ("中", "[U+4E2D]"),
        ("\ue000", "[U+E000]"),  # private use: it has no name
        ("\ufe0f", ""),
        ("\u3000", " "),
    ],
)
def test_a_letter_is_told_by_its_sound_its_name_or_its_number(letter: str, words: str) -> None:
    assert in_words(letter) == words


def test_letters_that_the_fonts_have_stay_as_they_are() -> None:
    text = "Sterne Äste Łódź Ελληνικά Кириллица العربية עברית – − × ° µ ≥ →"
    assert text.translate(printed_instead(beyond_ascii([text]))) == text


def picture(text: str, folder: Path) -> np.ndarray:
    """A text as the typesetter draws it, without any of what the book does to it."""
    fonts = ", ".join(f'"{name}"' for name in FONTS)
    source = f'#set page(width: 60mm, height: 20mm)\n#set text(font: ({fonts}))\n#"{text}"\n'
    place = folder / f"{ord(text[0]):x}.pdf"
    place.write_bytes(typst.compile(source.encode("utf-8"), ignore_system_fonts=True))
    (page,) = all_drawn(place, 150)
    return page


def test_what_is_told_in_words_would_have_been_the_same_empty_box(tmp_path: Path) -> None:
    box = picture("\U0010fffd", tmp_path)  # a code point that is nobody's
    for letter in "中한ひ🎄✨ல":
        assert printed_instead(letter)[ord(letter)] == in_words(letter)
        assert np.array_equal(picture(letter, tmp_path), box), unicodedata.name(letter)
    for letter in "Äع":
        assert printed_instead(letter) == {}
        assert not np.array_equal(picture(letter, tmp_path), box)


def test_names_of_any_script_are_read_in_the_book_and_on_its_labels(tmp_path: Path) -> None:
    text = dump(stated(props="2 * float", display="집 🎄", about="家")).replace("rail", "처마").replace("shed", "차고")
    plan = make_plan(load_text(text))
    read = squeezed(" ".join(pages(written(plan, tmp_path))))
    for words in ("jib[christmastree]", "[U+5BB6]", "ceoma/prop02", "cago"):
        assert words in read
    assert "Lettersthatthefontsofthisbooklack" in read
    (tmp_path / "labels.pdf").write_bytes(
        make_labels(plan, stamp_of(tmp_path / "display.yaml", BookRequest()), sheet_size("a4-70x37"))
    )
    told = squeezed(" ".join(pages(tmp_path / "labels.pdf")))
    assert "ceoma/prop02" in told
    assert "jib[christmastree]" in told


def test_a_book_without_such_letters_says_nothing_of_them(tmp_path: Path) -> None:
    read = squeezed(" ".join(pages(written(planned(stated(props="1 * float")), tmp_path))))
    assert "Lettersthatthefonts" not in read


def test_a_name_that_runs_from_right_to_left_ends_where_it_ends() -> None:
    assert led("صندوق/1") == "صندوق\u200e/1"
    assert led("על הגג 2") == "על הגג\u200e 2"
    assert led("plain") == "plain"
