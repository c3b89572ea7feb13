"""The door to every picture: records in mm, looks by role, SVG and terminal text."""

from strandwright.draw.axes import Scale, domain, tick_label, tick_step, ticks, x_axis, y_axis
from strandwright.draw.line_diagram import Feed, Fuse, LineDiagram, Run, StringLine, single_line
from strandwright.draw.markers import Verdict, marker
from strandwright.draw.profile import Profile, string_profile
from strandwright.draw.records import Anchor, Circle, Drawing, Line, Polyline, Record, Rect, Role, Text
from strandwright.draw.style import DARK, LIGHT, STYLES, RoleStyle, Token
from strandwright.draw.svg import to_svg
from strandwright.draw.terminal import Cell, to_cells, to_text

__all__ = [
    "DARK",
    "LIGHT",
    "STYLES",
    "Anchor",
    "Cell",
    "Circle",
    "Drawing",
    "Feed",
    "Fuse",
    "Line",
    "LineDiagram",
    "Polyline",
    "Profile",
    "Record",
    "Rect",
    "Role",
    "RoleStyle",
    "Run",
    "Scale",
    "StringLine",
    "Text",
    "Token",
    "Verdict",
    "domain",
    "marker",
    "single_line",
    "string_profile",
    "tick_label",
    "tick_step",
    "ticks",
    "to_cells",
    "to_svg",
    "to_text",
    "x_axis",
    "y_axis",
]
