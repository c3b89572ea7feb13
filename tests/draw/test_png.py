"""PNG files: read back by the rules of ISO/IEC 15948."""

from __future__ import annotations

import base64
import re
import struct
import zlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hollowglow.draw.sheet.layout import record_box
from hollowglow.draw.sheet.png import to_png
from hollowglow.draw.sheet.records import Drawing, Image
from hollowglow.draw.sheet.svg import to_svg
from hollowglow.draw.sheet.terminal import to_text


def read(png: bytes) -> tuple[int, int, bytes]:
    """Return columns, rows and pixels of an 8-bit RGB file with row filters 0 and 2."""
    assert png[:8] == b"\x89PNG\r\n\x1a\n"
    at, chunks = 8, {}
    while at < len(png):
        length, name = struct.unpack(">I4s", png[at : at + 8])
        data = png[at + 8 : at + 8 + length]
        assert struct.unpack(">I", png[at + 8 + length : at + 12 + length])[0] == zlib.crc32(name + data)
        chunks[name] = data
        at += 12 + length
    columns, rows, depth, kind, *rest = struct.unpack(">IIBBBBB", chunks[b"IHDR"])
    assert (depth, kind, rest) == (8, 2, [0, 0, 0])
    assert list(chunks) == [b"IHDR", b"sRGB", b"IDAT", b"IEND"]
    raw, pixels, above = zlib.decompress(chunks[b"IDAT"]), b"", bytes(3 * columns)
    for row in range(rows):
        line = raw[row * (3 * columns + 1) : (row + 1) * (3 * columns + 1)]
        above = bytes((a + (b if line[0] == 2 else 0)) & 255 for a, b in zip(line[1:], above, strict=True))
        pixels += above
    return columns, rows, pixels


@given(st.integers(1, 9), st.integers(1, 9), st.data())
def test_pixels_come_back(columns: int, rows: int, data: st.DataObject) -> None:
    size = 3 * columns * rows
    pixels = data.draw(st.binary(min_size=size, max_size=size))
    assert read(to_png(columns, pixels)) == (columns, rows, pixels)
    assert to_png(columns, pixels) == to_png(columns, pixels)


@pytest.mark.parametrize(("columns", "count"), [(0, 3), (2, 3), (2, 0), (1, 4)])
def test_pixels_that_make_no_rows_are_refused(columns: int, count: int) -> None:
    with pytest.raises(ValueError, match="do not make rows"):
        to_png(columns, bytes(count))
    with pytest.raises(ValueError, match="expected whole rows"):
        Image(0.0, 0.0, 1.0, 1.0, columns, bytes(count))


def test_an_image_stands_in_the_svg_itself() -> None:
    image = Image(2.0, 1.0, 6.0, 4.0, 2, bytes(range(12)))
    svg = to_svg(Drawing(20.0, 10.0, "Sample", (image,)))
    assert 'xmlns:xlink="http://www.w3.org/1999/xlink"' in svg
    assert '<image x="2" y="1" width="6" height="4"' in svg
    found = re.search(r'xlink:href="data:image/png;base64,([^"]+)"', svg)
    assert found is not None
    assert read(base64.b64decode(found.group(1))) == (2, 2, bytes(range(12)))
    box = record_box(image)
    assert (box.left, box.top, box.right, box.bottom) == (2.0, 1.0, 8.0, 5.0)


def test_a_picture_without_images_declares_no_links() -> None:
    assert "xlink" not in to_svg(Drawing(20.0, 10.0, "Sample", ()))


def test_a_brighter_image_has_more_dots_in_a_terminal() -> None:
    counts = []
    for level in (0, 60, 120, 200, 255):
        image = Image(0.0, 0.0, 40.0, 40.0, 1, bytes([level] * 3))
        text = to_text(Drawing(40.0, 40.0, "", (image,)), 10, 6)
        counts.append(sum((ord(char) - 0x2800).bit_count() for char in text if char > "\u2800"))
    assert counts[0] == 0
    assert counts == sorted(set(counts))
