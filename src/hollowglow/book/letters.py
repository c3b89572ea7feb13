"""Letters that the fonts of a book lack, found by asking the typesetter, and what is printed in their place."""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any

FONTS = ("Libertinus Serif", "DejaVu Sans Mono")
# No font has this one: it is nobody's.
_NOBODYS = "\U0010fffd"
# Every letter on a page of its own, in each weight and slope that the book sets names in.
_PAGES = """\
#set page(width: auto, height: auto)
#set text(font: {fonts})
#for letter in json("letters.json") {{
  page({{
    text(letter)
    text(weight: "semibold", letter)
    text(weight: "bold", letter)
    text(style: "italic", letter)
  }})
}}
"""
_GLYPH = re.compile(r'xlink:href="#(g\w+)"')
_BEYOND_ASCII = re.compile(r"[^\x00-\x7f]")
# Hebrew, Arabic and their kin, with spaces between their words.
_LEFT = "\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefc"
_LEFTWARDS = re.compile(rf"[{_LEFT}](?:[{_LEFT} ]*[{_LEFT}])?")
_SPOKEN = re.compile(r"(?:LETTER|SYLLABLE|VOWEL SIGN|DIGIT)(?: [A-Z]{2,})?? ([A-Z]+)(?: WITH .*| SIGN)?$")


def led(text: str) -> str:
    """Return a text in which words that run from right to left are ended, so that what follows them is not drawn in.

    >>> led("\u05d0\u05d1/1") == "\u05d0\u05d1\u200e/1"
    True
    """
    return _LEFTWARDS.sub("\\g<0>\u200e", text)


def beyond_ascii(texts: Iterable[str]) -> str:
    """Return every letter beyond ASCII of some texts, once, in order."""
    return "".join(sorted({letter for text in texts for letter in _BEYOND_ASCII.findall(text)}))


@cache
def printed_instead(letters: str) -> Mapping[int, str]:
    """Return what stands for each letter that no font of the book has, by its code point, as `str.translate` wants it.

    Whether it has one is asked of the typesetter itself, which draws the same empty box for all that it lacks.

    Args:
        letters: those to be set.
    """
    if not letters:
        return {}
    import typst

    fonts = "(" + "".join(f'"{name}", ' for name in FONTS) + ")"
    files: Any = {
        "main.typ": _PAGES.format(fonts=fonts).encode("utf-8"),
        "letters.json": json.dumps([_NOBODYS, *letters]).encode("utf-8"),
    }
    compiler: Any = typst.compile
    pages = [page.decode("utf-8") for page in compiler(files, ignore_system_fonts=True, format="svg")]
    empty = set(_GLYPH.findall(pages[0]))
    return {
        ord(letter): in_words(letter)
        for letter, page in zip(letters, pages[1:], strict=True)
        if empty & set(_GLYPH.findall(page))
    }


def in_words(letter: str) -> str:
    """Return a letter in ASCII: its sound where its Unicode name tells one, else its name, else its number.

    >>> in_words("한"), in_words("हि"[0]), in_words("🎄"), in_words("中"), in_words("\\ufe0f")
    ('han', 'ha', '[christmas tree]', '[U+4E2D]', '')
    """
    sort = unicodedata.category(letter)
    name = unicodedata.name(letter, "")
    if sort in ("Cf", "Mn") and "VOWEL" not in name:
        return ""  # joiners, selectors of a look, marks on letters
    if sort.startswith("Z"):
        return " "
    if (spoken := _SPOKEN.search(name)) is not None:
        return spoken[1].lower()
    if not name or "IDEOGRAPH" in name:
        return f"[U+{ord(letter):04X}]"
    return f"[{name.lower()}]"
