"""The smallest camera RAW file (DNG 1.4): one square of red, green, green, blue after the other, 12 bits in 16."""

from __future__ import annotations

import struct

import numpy as np
from numpy.typing import NDArray

BLACK, WHITE = 256, 4095


def mosaic(light: NDArray[np.float64]) -> NDArray[np.uint16]:
    """Return what a sensor behind a red-green-green-blue filter stores of light, shape (rows, columns, 3), even sides.

    The camera's own colours are taken to be linear sRGB, which is what the matrix in `dng` says.
    """
    plane = np.empty(light.shape[:2])
    for y, x, colour in ((0, 0, 0), (0, 1, 1), (1, 0, 1), (1, 1, 2)):
        plane[y::2, x::2] = light[y::2, x::2, colour]
    return np.clip(np.rint(BLACK + plane * (WHITE - BLACK)), 0, WHITE).astype(np.uint16)


def dng(plane: NDArray[np.uint16], time_s: float, f_number: float = 4.0, iso: int = 200, orientation: int = 1) -> bytes:
    """Return a DNG file. Source of the tags: TIFF 6.0, TIFF/EP (ISO 12234-2), DNG 1.4."""
    rows, columns = plane.shape
    # XYZ (D65) to linear sRGB, IEC 61966-2-1: DNG wants XYZ to camera.
    matrix = [3.2406, -1.5372, -0.4986, -0.9689, 1.8758, 0.0415, 0.0557, -0.2040, 1.0570]
    rational = lambda v: struct.pack("<II", round(v * 1_000_000), 1_000_000)  # noqa: E731
    signed = b"".join(struct.pack("<ii", round(v * 10_000), 10_000) for v in matrix)
    data = plane.astype("<u2").tobytes()
    short, long_, byte, ascii_, ratio, sratio = 3, 4, 1, 2, 5, 10
    main = [
        (254, long_, 1, struct.pack("<I", 0)),
        (256, long_, 1, struct.pack("<I", columns)),
        (257, long_, 1, struct.pack("<I", rows)),
        (258, short, 1, struct.pack("<H", 16)),
        (259, short, 1, struct.pack("<H", 1)),
        (262, short, 1, struct.pack("<H", 32803)),
        (271, ascii_, 5, b"Made\0"),
        (272, ascii_, 5, b"Test\0"),
        (273, long_, 1, b"DATA"),
        (274, short, 1, struct.pack("<H", orientation)),
        (277, short, 1, struct.pack("<H", 1)),
        (278, long_, 1, struct.pack("<I", rows)),
        (279, long_, 1, struct.pack("<I", len(data))),
        (284, short, 1, struct.pack("<H", 1)),
        (33421, short, 2, struct.pack("<HH", 2, 2)),
        (33422, byte, 4, bytes([0, 1, 1, 2])),
        (34665, long_, 1, b"EXIF"),
        (50706, byte, 4, bytes([1, 4, 0, 0])),
        (50707, byte, 4, bytes([1, 1, 0, 0])),
        (50708, ascii_, 10, b"Made Test\0"),
        (50714, short, 1, struct.pack("<H", BLACK)),
        (50717, short, 1, struct.pack("<H", WHITE)),
        (50721, sratio, 9, signed),
        (50728, ratio, 3, rational(1.0) * 3),
        (50778, short, 1, struct.pack("<H", 21)),
    ]
    noted = [
        (33434, ratio, 1, rational(time_s)),
        (33437, ratio, 1, rational(f_number)),
        (34855, short, 1, struct.pack("<H", iso)),
    ]
    start = 8
    exif_at = start + 2 + 12 * len(main) + 4
    extra_at = exif_at + 2 + 12 * len(noted) + 4
    extra = b""
    out = b"II*\0" + struct.pack("<I", start)
    data_at = extra_at + sum(len(v) + len(v) % 2 for *_, v in [*main, *noted] if len(v) > 4)
    for entries in (main, noted):
        out += struct.pack("<H", len(entries))
        for tag, form, count, value in entries:
            value = {b"DATA": struct.pack("<I", data_at), b"EXIF": struct.pack("<I", exif_at)}.get(value, value)
            if len(value) > 4:
                where = struct.pack("<I", extra_at + len(extra))
                extra += value + b"\0" * (len(value) % 2)
                value = where
            out += struct.pack("<HHI", tag, form, count) + value.ljust(4, b"\0")
        out += struct.pack("<I", 0)
    return out + extra + data
