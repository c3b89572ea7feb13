"""The level of one kind as plain data: what it gives there, how far it is off, what is left to fade with, what to type."""

from __future__ import annotations

import math
from typing import Any

from hollowglow.analysis.match import Row, Setting
from hollowglow.quantity.numbers import plain


def level_row(row: Row) -> dict[str, Any]:
    """Return the row of a kind at a level: shares, cd/m², cd, L*, u'v', settings."""
    return {
        "kind": row.kind,
        "level": round(row.level, 9),
        "trims": [round(trim, 9) for trim in row.trims],
        "luminance": plain(row.luminance_cd_m2),
        "intensity": plain(row.intensity_cd),
        "residual": plain(row.residual),
        "residual_lightness": plain(row.residual_lightness),
        "chromaticity_shift": plain(row.chromaticity_shift),
        "fade_steps": row.fade_steps,
        "fade_steps_by_colour": list(row.fade_steps_by_colour),
        "settings": [_setting(one) for one in row.settings],
    }


def _setting(one: Setting) -> dict[str, Any]:
    steps = one.grid.steps
    trims = one.trims
    return {
        "controller": one.controller,
        "curve": str(one.grid.curve),
        "percent": in_percent(one.level, steps),
        "of_255": of_255(one.level, steps),
        "trims_percent": None if trims is None else [in_percent(t, steps) for t in trims],
        "trims_of_255": None if trims is None else [of_255(t, steps) for t in trims],
    }


def in_percent(setting: int, steps: int) -> float:
    """Return a setting in percent, with one decimal where it is none of whole percent."""
    return round(100.0 * setting / steps, 1)


def of_255(setting: int, steps: int) -> int:
    """Return a setting as a number from 0 to 255."""
    return math.floor(255.0 * setting / steps + 0.5)
