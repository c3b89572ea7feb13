"""The door to every picture: records in mm, looks by role, SVG and terminal text."""

from strandwright.draw.axes import Scale, domain, tick_label, tick_step, ticks, x_axis, y_axis
from strandwright.draw.before_after import before_after
from strandwright.draw.fades import Fade, fades
from strandwright.draw.glow import GlowPicture, glow_row, glow_tone
from strandwright.draw.label_sheet import Label, SheetSize, label_sheets
from strandwright.draw.line_diagram import Feed, Fuse, LineDiagram, Run, StringLine, single_line
from strandwright.draw.markers import Verdict, marker
from strandwright.draw.over_time import Panel, over_time, time_spread
from strandwright.draw.polar import PolarCurve, polar
from strandwright.draw.profile import Profile, string_profile
from strandwright.draw.records import Anchor, Circle, Drawing, Image, Line, Polyline, Record, Rect, Role, Text
from strandwright.draw.section import CutHole, CutLight, Section, section
from strandwright.draw.strip import Strip, StripMark, wrap_strip
from strandwright.draw.style import DARK, LIGHT, STYLES, RoleStyle, Token
from strandwright.draw.svg import to_svg
from strandwright.draw.template import DrillHole, Face, Template, drill_template
from strandwright.draw.terminal import Cell, to_cells, to_text
from strandwright.draw.tone import Tone, tone_for
from strandwright.draw.yard import Behind, Mark, Spot, Strand, YardPicture, yard

__all__ = [
    "DARK",
    "LIGHT",
    "STYLES",
    "Anchor",
    "Behind",
    "Cell",
    "Circle",
    "CutHole",
    "CutLight",
    "Drawing",
    "DrillHole",
    "Face",
    "Fade",
    "Feed",
    "Fuse",
    "GlowPicture",
    "Image",
    "Label",
    "Line",
    "LineDiagram",
    "Mark",
    "Panel",
    "PolarCurve",
    "Polyline",
    "Profile",
    "Record",
    "Rect",
    "Role",
    "RoleStyle",
    "Run",
    "Scale",
    "Section",
    "SheetSize",
    "Spot",
    "Strand",
    "StringLine",
    "Strip",
    "StripMark",
    "Template",
    "Text",
    "Token",
    "Tone",
    "Verdict",
    "YardPicture",
    "before_after",
    "domain",
    "drill_template",
    "fades",
    "glow_row",
    "glow_tone",
    "label_sheets",
    "marker",
    "over_time",
    "polar",
    "section",
    "single_line",
    "string_profile",
    "tick_label",
    "tick_step",
    "ticks",
    "time_spread",
    "to_cells",
    "to_svg",
    "to_text",
    "tone_for",
    "wrap_strip",
    "x_axis",
    "y_axis",
    "yard",
]
