"""Roles become ink here and nowhere else: blue-grey ink on warm paper, and the same after dark."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from strandwright.draw.records import Role

Token = Literal["paper", "shade", "faint", "soft", "ink", "plus", "minus", "together", "limit", "warn", "stop"]

LIGHT: Mapping[Token, str] = MappingProxyType(
    {
        "paper": "#fbf8f1",
        "shade": "#ece7db",
        "faint": "#dcd6c8",
        "soft": "#56636e",
        "ink": "#25333f",
        "plus": "#9c4420",
        "minus": "#2b5d88",
        "together": "#6b4788",
        "limit": "#93254a",
        "warn": "#855400",
        "stop": "#a81f1f",
    }
)

DARK: Mapping[Token, str] = MappingProxyType(
    {
        "paper": "#1b242c",
        "shade": "#26313a",
        "faint": "#35424d",
        "soft": "#a4afb8",
        "ink": "#e6e0d3",
        "plus": "#f0a27a",
        "minus": "#8dbde6",
        "together": "#c8abe8",
        "limit": "#f293ac",
        "warn": "#efc265",
        "stop": "#ff8f86",
    }
)


@dataclass(frozen=True, slots=True)
class RoleStyle:
    """How one role looks.

    `ink` colours lines and text, `width_mm` is the line width (0: no outline), `dash_mm` the dash pattern
    on paper and `dash_dots` the same pattern in terminal dots; `fill` colours closed shapes; `on_terminal`
    is false for what would only clutter a coarse picture.
    """

    ink: Token
    width_mm: float = 0.3
    dash_mm: tuple[float, ...] = ()
    dash_dots: tuple[int, ...] = ()
    fill: Token | None = None
    bold: bool = False
    on_terminal: bool = True


STYLES: Mapping[Role, RoleStyle] = MappingProxyType(
    {
        "across": RoleStyle("ink", 0.55),
        "axis": RoleStyle("soft", 0.25),
        "box": RoleStyle("ink", 0.4, fill="paper", bold=True),
        "cable": RoleStyle("ink", 0.4),
        "cut": RoleStyle("stop", 0.5),
        "dark": RoleStyle("soft", 0.0, fill="shade", on_terminal=False),
        "feed": RoleStyle("soft", 0.25, (0.8, 0.8), (1, 3)),
        "fuse": RoleStyle("ink", 0.35, fill="paper"),
        "grid": RoleStyle("faint", 0.2, on_terminal=False),
        "joint": RoleStyle("ink", 0.2, fill="ink"),
        "label": RoleStyle("ink", 0.2),
        "limit": RoleStyle("limit", 0.4, (3.2, 1.2, 0.1, 1.2), (5, 2, 1, 2)),
        "mark": RoleStyle("ink", 0.4, fill="paper"),
        "minus": RoleStyle("minus", 0.5, (4.0, 1.6), (6, 2)),
        "paper": RoleStyle("paper", 0.0, fill="paper"),
        "plus": RoleStyle("plus", 0.35),
        "prop": RoleStyle("ink", 0.35, fill="paper"),
        "stop": RoleStyle("stop", 0.4, fill="paper", bold=True),
        "supply": RoleStyle("soft", 0.3),
        "tick": RoleStyle("soft", 0.2),
        "title": RoleStyle("ink", 0.3, bold=True),
        "together": RoleStyle("together", 0.6, (0.1, 1.2), (1, 2)),
        "warn": RoleStyle("warn", 0.4, fill="paper", bold=True),
    }
)
