"""Looks: every role has one, words can be read in light and dark, and nothing is told by colour alone."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import combinations
from typing import get_args

import pytest

from hollowglow.draw.sheet.markers import marker
from hollowglow.draw.sheet.records import Role
from hollowglow.draw.sheet.style import DARK, LIGHT, STYLES, Token

both_palettes = pytest.mark.parametrize("palette", [LIGHT, DARK], ids=["light", "dark"])


def luminance(colour: str) -> float:
    """Relative luminance of an sRGB colour, WCAG 2.1."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio, WCAG 2.1."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_the_contrast_formula_gives_21_for_black_on_white() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)


def test_every_role_has_a_look() -> None:
    assert set(STYLES) == set(get_args(Role))


@both_palettes
def test_a_palette_has_every_token(palette: Mapping[Token, str]) -> None:
    assert set(palette) == set(get_args(Token))


@both_palettes
def test_words_and_lines_stand_out_from_paper_and_shade(palette: Mapping[Token, str]) -> None:
    for role, style in STYLES.items():
        if role in ("grid", "paper"):
            continue
        assert contrast(palette[style.ink], palette["paper"]) >= 4.5, role
        assert contrast(palette[style.ink], palette["shade"]) >= 4.5, role


def test_the_lines_of_a_profile_differ_in_dash_or_width_on_paper() -> None:
    roles: tuple[Role, ...] = ("across", "plus", "minus", "coincident", "limit")
    for one, other in combinations(roles, 2):
        assert (STYLES[one].dash_mm, STYLES[one].width_mm) != (STYLES[other].dash_mm, STYLES[other].width_mm)
    assert not STYLES["plus"].dash_mm
    assert len({STYLES[role].dash_dots for role in roles[1:]}) == 4


def test_marks_differ_in_shape() -> None:
    shapes = {tuple(type(record).__name__ for record in marker(0.0, 0.0, verdict)) for verdict in ("", "warn", "stop")}
    assert len(shapes) == 3
