"""A drawing as one standalone SVG text: no scripts, nothing fetched, light or dark as the reader's system."""

from __future__ import annotations

import base64
import math
import re
from collections.abc import Iterable, Mapping
from itertools import groupby
from xml.sax.saxutils import escape

from hollowglow.draw.sheet.png import to_png
from hollowglow.draw.sheet.records import Circle, Drawing, Image, Line, Polyline, Record, Rect, Role, Text
from hollowglow.draw.sheet.style import DARK, LIGHT, STYLES, Token

FONTS = "system-ui, 'Noto Sans', 'Liberation Sans', 'DejaVu Sans', sans-serif"
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def to_svg(drawing: Drawing, *, print_font: str | None = None) -> str:
    """Return the drawing as SVG 1.1 text, the same bytes for the same drawing.

    Args:
        drawing: the picture.
        print_font: the font of a printed page that takes the picture in. Its ground is then the page's own white, and
            there is no style sheet.

    Sizes are in mm. Colours stand twice: as plain attributes for readers that know no style sheets, and as
    custom properties (`--sw-ink` and so on, on the class `sw-drawing`) that follow the reader's colour
    scheme. Images stand in the text themselves, as PNG.

    Raises ValueError if a number is not finite.
    """
    width, height = _number(drawing.width_mm), _number(drawing.height_mm)
    title = _text(drawing.title)
    description = _text(drawing.description or f"{drawing.title}, {width} mm by {height} mm.")
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg"{_links(drawing)} version="1.1" class="sw-drawing" width="{width}mm" '
        f'height="{height}mm" viewBox="0 0 {width} {height}" role="img" font-family="{print_font or FONTS}">',
        f"<title>{title}</title>",
        f"<desc>{description}</desc>",
        *([] if print_font else [f"<style>{_style_sheet(drawing.records)}</style>"]),
        f'<rect class="sw-f-paper" width="{width}" height="{height}" fill="{LIGHT["paper"]}"/>',
    ]
    for (role, sort), group in groupby(drawing.records, lambda record: (record.role, _sort(record))):
        lines.append("<g>" if sort == "image" else f"<g {_look(role, sort)}>")
        lines.extend(_element(record) for record in group)
        lines.append("</g>")
    lines.append("</svg>")
    text = "\n".join(lines) + "\n"
    return text.replace(f'fill="{LIGHT["paper"]}"', 'fill="#ffffff"') if print_font else text


def _links(drawing: Drawing) -> str:
    """Declare the name space that SVG 1.1 wants for an image, where there is one."""
    images = any(isinstance(record, Image) for record in drawing.records)
    return ' xmlns:xlink="http://www.w3.org/1999/xlink"' if images else ""


def _sort(record: Record) -> str:
    if isinstance(record, Text | Image):
        return "text" if isinstance(record, Text) else "image"
    return "line" if isinstance(record, Line) or (isinstance(record, Polyline) and not record.closed) else "shape"


def _style_sheet(records: Iterable[Record]) -> str:
    used: set[Token] = {"paper"}
    for role in {record.role for record in records}:
        style = STYLES[role]
        used.add(style.ink)
        if style.fill is not None:
            used.add(style.fill)
    tokens = [token for token in LIGHT if token in used]
    rules = [
        f".sw-drawing{{{_properties(LIGHT, tokens)}}}",
        f"@media (prefers-color-scheme:dark){{.sw-drawing{{{_properties(DARK, tokens)}}}}}",
    ]
    rules += [f".sw-s-{token}{{stroke:var(--sw-{token})}}.sw-f-{token}{{fill:var(--sw-{token})}}" for token in tokens]
    return "".join(rules)


def _properties(palette: Mapping[Token, str], tokens: Iterable[Token]) -> str:
    return ";".join(f"--sw-{token}:{palette[token]}" for token in tokens)


def _look(role: Role, sort: str) -> str:
    return _text_look(role) if sort == "text" else _line_look(role, filled=sort == "shape")


def _text_look(role: Role) -> str:
    style = STYLES[role]
    weight = ' font-weight="600"' if style.bold else ""
    return f'class="sw-f-{style.ink}" fill="{LIGHT[style.ink]}"{weight}'


def _line_look(role: Role, *, filled: bool) -> str:
    style = STYLES[role]
    classes, look = [], []
    if style.width_mm > 0:
        classes.append(f"sw-s-{style.ink}")
        look.append(f'stroke="{LIGHT[style.ink]}" stroke-width="{_number(style.width_mm)}"')
        look.append('stroke-linecap="round" stroke-linejoin="round"')
        if style.dash_mm:
            look.append(f'stroke-dasharray="{" ".join(map(_number, style.dash_mm))}"')
    if filled and style.fill is not None:
        classes.append(f"sw-f-{style.fill}")
        look.append(f'fill="{LIGHT[style.fill]}"')
    else:
        look.append('fill="none"')
    return f'class="{" ".join(classes)}" {" ".join(look)}'


def _element(record: Record) -> str:
    n = _number
    if isinstance(record, Line):
        return f'<line x1="{n(record.x1)}" y1="{n(record.y1)}" x2="{n(record.x2)}" y2="{n(record.y2)}"/>'
    if isinstance(record, Polyline):
        points = " ".join(f"{n(x)},{n(y)}" for x, y in record.points)
        return f'<{"polygon" if record.closed else "polyline"} points="{points}"/>'
    if isinstance(record, Rect):
        corner = f' rx="{n(record.radius)}"' if record.radius else ""
        place = f'x="{n(record.x)}" y="{n(record.y)}"'
        return f'<rect {place} width="{n(record.width)}" height="{n(record.height)}"{corner}/>'
    if isinstance(record, Circle):
        fill = f' style="fill:{record.colour}"' if record.colour else ""
        return f'<circle cx="{n(record.x)}" cy="{n(record.y)}" r="{n(record.radius)}"{fill}/>'
    if isinstance(record, Image):
        place = f'x="{n(record.x)}" y="{n(record.y)}" width="{n(record.width)}" height="{n(record.height)}"'
        data = base64.b64encode(to_png(record.columns, record.pixels)).decode("ascii")
        return f'<image {place} preserveAspectRatio="none" xlink:href="data:image/png;base64,{data}"/>'
    anchor = "" if record.anchor == "start" else f' text-anchor="{record.anchor}"'
    look = f'font-size="{n(record.size_mm)}"{anchor}'
    return f'<text x="{n(record.x)}" y="{n(record.y)}" {look}>{_text(record.text)}</text>'


def _text(text: str) -> str:
    return escape(_NOT_XML.sub("\ufffd", text), {'"': "&quot;"})


def _number(value: float) -> str:
    if not math.isfinite(value):
        raise ValueError(f"a drawing holds the number {value}, expected finite millimetres")
    digits = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if digits == "-0" else digits
