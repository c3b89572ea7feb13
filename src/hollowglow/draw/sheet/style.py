"""Roles become ink here and nowhere else: blue-grey ink on warm paper, and the same after dark."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from hollowglow.draw.sheet.records import Role

Token = Literal[
    "paper", "shade", "faint", "soft", "ink", "plus", "minus", "coincident", "limit", "warn", "stop", "beam", "night"
]

LIGHT: Mapping[Token, str] = MappingProxyType(
    {
        "paper": "#fbf8f1",
        "shade": "#ece7db",
        "faint": "#dcd6c8",
        "soft": "#56636e",
        "ink": "#25333f",
        "plus": "#9c4420",
        "minus": "#2b5d88",
        "coincident": "#6b4788",
        "limit": "#93254a",
        "warn": "#855400",
        "stop": "#a81f1f",
        "beam": "#6b5900",
        "night": "#070a0f",
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
        "coincident": "#c8abe8",
        "limit": "#f293ac",
        "warn": "#efc265",
        "stop": "#ff8f86",
        "beam": "#e6d06a",
        "night": "#070a0f",
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
        "aim": RoleStyle("beam", 0.2, (2.4, 0.8, 0.3, 0.8), (4, 2, 1, 2)),
        "axis": RoleStyle("soft", 0.25),
        "bore": RoleStyle("ink", 0.35, fill="paper"),
        "box": RoleStyle("ink", 0.4, fill="paper", bold=True),
        "cable": RoleStyle("ink", 0.4),
        "cable_full": RoleStyle("stop", 0.7, (0.9, 0.7), (1, 1)),
        "cable_half": RoleStyle("warn", 0.6, (2.6, 0.8), (3, 1)),
        "carrier": RoleStyle("ink", 0.3, fill="faint"),
        "cut": RoleStyle("stop", 0.5),
        "dark": RoleStyle("soft", 0.0, fill="shade", on_terminal=False),
        "dimension": RoleStyle("soft", 0.2, on_terminal=False),
        "edge": RoleStyle("ink", 0.4),
        "feed": RoleStyle("soft", 0.25, (0.8, 0.8), (1, 3)),
        "footprint": RoleStyle("beam", 1.1),
        "fuse": RoleStyle("ink", 0.35, fill="paper"),
        "glow": RoleStyle("ink", 0.0),
        "grid": RoleStyle("faint", 0.2, on_terminal=False),
        "joint": RoleStyle("ink", 0.2, fill="ink"),
        "label": RoleStyle("ink", 0.2),
        "leader": RoleStyle("soft", 0.18, on_terminal=False),
        "light": RoleStyle("ink", 0.3, fill="paper"),
        "limit": RoleStyle("limit", 0.4, (3.2, 1.2, 0.1, 1.2), (5, 2, 1, 2)),
        "mark": RoleStyle("ink", 0.4, fill="paper"),
        "minus": RoleStyle("minus", 0.5, (4.0, 1.6), (6, 2)),
        "night": RoleStyle("ink", 0.0, fill="night", on_terminal=False),
        "paper": RoleStyle("paper", 0.0, fill="paper"),
        "plus": RoleStyle("plus", 0.35),
        "polar": RoleStyle("beam", 0.6),
        "polar-two": RoleStyle("minus", 0.5, (2.2, 1.3), (4, 2)),
        "pool": RoleStyle("minus", 0.25, (0.8, 1.0), (1, 2), fill="shade"),
        "prop": RoleStyle("ink", 0.35, fill="paper"),
        "ray": RoleStyle("beam", 0.25, (1.2, 0.9), (2, 2)),
        "stop": RoleStyle("stop", 0.4, fill="paper", bold=True),
        "supply": RoleStyle("soft", 0.3),
        "tick": RoleStyle("soft", 0.2),
        "title": RoleStyle("ink", 0.3, bold=True),
        "coincident": RoleStyle("coincident", 0.6, (0.1, 1.2), (1, 2)),
        "wall": RoleStyle("ink", 0.3, fill="shade"),
        "warn": RoleStyle("warn", 0.4, fill="paper", bold=True),
        "water": RoleStyle("minus", 0.3, fill="minus"),
        "was_across": RoleStyle("soft", 0.45, (1.8, 1.1), (3, 2)),
        "was_minus": RoleStyle("minus", 0.35, (1.0, 1.0), (2, 2)),
        "was_plus": RoleStyle("plus", 0.35, (1.8, 1.1), (3, 3)),
        "was_coincident": RoleStyle("coincident", 0.45, (0.1, 2.4), (1, 4)),
    }
)
