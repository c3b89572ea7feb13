"""Photographs and plans behind the drawing: taken in beside the display file, measured, and made small for a screen."""

from __future__ import annotations

import io
import re
from pathlib import Path
from typing import IO, Any

from hollowglow.file.store.writing import shown, whole_bytes
from hollowglow.messages.refusal import Refusal
from hollowglow.quantity.shown import visible

MOST_BYTES = 64 * 1024 * 1024
_MOST_PIXELS = 80_000_000
_SUFFIXES = {"JPEG": ".jpg", "PNG": ".png", "WEBP": ".webp"}
# EXIF orientations that lie on their side.
_TURNED = (5, 6, 7, 8)


def take_in(stream: IO[bytes], name: str, folder: Path) -> tuple[str, tuple[int, int]]:
    """Put a picture beside the display file.

    Args:
        stream: of the picture's bytes, at its beginning.
        name: that it was sent under.
        folder: where the display file is.

    Returns:
        The name that it has there, and its width and height as seen, pixels.

    Raises:
        Refusal: when it is no picture, too large, or cannot be written; nothing is left behind then.
    """
    said = visible(Path(name.replace("\\", "/")).name or "the file")
    data = stream.read(MOST_BYTES + 1)
    if len(data) > MOST_BYTES:
        raise Refusal(too_large(said))
    size, suffix = _checked(data, said)
    stem = re.sub(r"[^\w-]+", "-", Path(said).stem).strip("-")[:60] or "backdrop"
    count = 1
    while True:
        path = folder / f"{stem}{'' if count == 1 else f'-{count}'}{suffix}"
        if not path.exists():
            with whole_bytes(path) as out:
                out.write(data)
            return path.name, size
        if path.is_file() and path.stat().st_size == len(data) and path.read_bytes() == data:
            return path.name, size
        count += 1


def too_large(name: str) -> str:
    """Return in words that a picture has too many bytes."""
    return f"{name} is larger than 64 MiB, so it was not taken. Save a smaller copy, 4,000 pixels wide for example."


def _checked(data: bytes, said: str) -> tuple[tuple[int, int], str]:
    from PIL import Image, UnidentifiedImageError

    try:
        with Image.open(io.BytesIO(data)) as opened:
            if opened.format not in _SUFFIXES:
                raise Refusal(
                    f"{said} is a {opened.format} picture, expected JPEG, PNG or WebP. Save it as one of these."
                )
            wide, high = opened.size
            if wide * high > _MOST_PIXELS:
                raise Refusal(
                    f"{said} has {wide * high / 1e6:.0f} million pixels, expected at most 80. Save a smaller copy."
                )
            opened.load()
            return _as_seen(opened), _SUFFIXES[opened.format]
    except (UnidentifiedImageError, OSError, SyntaxError, ValueError, Image.DecompressionBombError):
        raise Refusal(
            f"{said} is not a picture that can be read, so it was not taken. Expected a photograph or a plan as JPEG, PNG or "
            "WebP."
        ) from None


def _as_seen(opened: Any) -> tuple[int, int]:
    wide, high = opened.size
    return (high, wide) if opened.getexif().get(0x0112) in _TURNED else (wide, high)


def size_of(path: Path) -> tuple[int, int]:
    """Return width and height of a picture as seen, pixels; raises Refusal where there is none."""
    from PIL import Image, UnidentifiedImageError

    try:
        with Image.open(path) as opened:
            return _as_seen(opened)
    except FileNotFoundError:
        raise Refusal(f"The backdrop {shown(path.name)} is not there any more. Bring it in again.") from None
    except (UnidentifiedImageError, OSError, ValueError, Image.DecompressionBombError):
        raise Refusal(f"The backdrop {shown(path.name)} is not a picture that can be read. Bring in another.") from None


def for_screen(path: Path, longest: int = 2048) -> bytes:
    """Return a picture as JPEG, upright, no side longer than so many pixels; raises Refusal where there is none."""
    from PIL import Image, ImageOps

    size_of(path)
    try:
        with Image.open(path) as opened:
            opened.draft("RGB", (longest, longest))
            made = ImageOps.exif_transpose(opened).convert("RGB")
    except (OSError, ValueError) as error:
        raise Refusal(f"The backdrop {shown(path.name)} cannot be read ({error}).") from None
    made.thumbnail((longest, longest))
    out = io.BytesIO()
    # Without coarser colours: edges are pointed at here.
    made.save(out, "JPEG", quality=88, subsampling=0)
    return out.getvalue()
