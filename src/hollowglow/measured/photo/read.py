"""Photographs from files: JPEG, PNG, TIFF and camera RAW, with what the camera noted; one clear refusal otherwise."""

from __future__ import annotations

import warnings
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hollowglow.measured.photo.exposure import Exposure
from hollowglow.measured.photo.picture import CLIP_CODE, XYZ_FROM_P3, Photograph, linear_photograph, srgb_table
from hollowglow.messages.refusal import Refusal
from hollowglow.physics.srgb import XYZ_FROM_LINEAR

MOST_PIXELS = 120_000_000
LEAST_SIDE = 16
FORMATS = ("JPEG", "PNG", "TIFF")
_FEW_SHADES = ("1", "P", "PA")
# fmt: off
RAW_ENDINGS = frozenset((
    ".3fr", ".ari", ".arw", ".bay", ".cr2", ".cr3", ".crw", ".dcr", ".dng", ".erf", ".fff", ".gpr", ".iiq", ".k25", ".kdc",
    ".mef", ".mos", ".mrw", ".nef", ".nrw", ".orf", ".pef", ".raf", ".raw", ".rw2", ".rwl", ".sr2", ".srf", ".srw", ".x3f",
))
# fmt: on

Codes = NDArray[np.uint8] | NDArray[np.uint16]

_EXIF_IFD = 0x8769
_TIME, _F_NUMBER, _ISO, _TV, _AV = 33434, 33437, 34855, 37377, 37378
_WHITE_BALANCE, _FOCAL_35 = 41987, 41989
_COLUMNS, _ROWS, _BITS, _PHOTOMETRIC, _ORIENTATION = 256, 257, 258, 262, 274
_BLACK_IS_ZERO = (1, 2)  # grey and red, green, blue; TIFF 6.0
# What makes a picture of each orientation upright (Exif 2.32); of 1 nothing.
_UPRIGHT: dict[Any, Callable[[Any], Any]] = {
    2: np.fliplr,
    3: lambda codes: np.rot90(codes, 2),
    4: np.flipud,
    5: lambda codes: np.swapaxes(codes, 0, 1),
    6: lambda codes: np.rot90(codes, -1),
    7: lambda codes: np.swapaxes(np.rot90(codes, 2), 0, 1),
    8: np.rot90,
}
_MOST = 65535
_STEPS = 257  # of 16 bits for one of 8
_WANT = "expected a photograph: JPEG, PNG, TIFF or camera RAW"


def read_photograph(path: Path | str, name: str = "") -> Photograph:
    """Return a photograph.

    Args:
        path: of a JPEG, PNG or TIFF picture, or of a camera RAW file (needs the package rawpy).
        name: of it in words; its path where none is given.

    Raises:
        Refusal: no such file, not a photograph, truncated, too large or too small; it says what to do.
    """
    place = Path(path)
    shown = name or _shown(place)
    try:
        if place.is_dir():
            raise Refusal(f"{shown}: found a folder, {_WANT}. Name the file inside it.")
        with place.open("rb") as stream:
            empty = not stream.read(1)
    except FileNotFoundError:
        raise Refusal(f"{shown}: found no file of this name, {_WANT}. Check the name.") from None
    except (OSError, ValueError) as error:
        raise Refusal(f"{shown}: the file cannot be read ({getattr(error, 'strerror', None) or error}).") from None
    if empty:
        raise Refusal(f"{shown}: found an empty file, {_WANT}. Copy it from the camera again.")
    return _raw(place, shown) if place.suffix.lower() in RAW_ENDINGS else _picture(place, shown)


def _shown(path: Path) -> str:
    return "".join(c if c.isprintable() else "?" for c in str(path))


def _check_size(shown: str, columns: int, rows: int) -> None:
    if columns * rows > MOST_PIXELS:
        raise Refusal(
            f"{shown}: found a picture of {columns:,} by {rows:,} pixels, expected at most {MOST_PIXELS / 1e6:.0f} "
            "megapixels. Save it smaller."
        )
    if min(columns, rows) < LEAST_SIDE:
        raise Refusal(
            f"{shown}: found a picture of {columns} by {rows} pixels, expected at least {LEAST_SIDE} each way. "
            "Take the photograph at the camera's full size."
        )


def _picture(place: Path, shown: str) -> Photograph:
    from PIL import Image, ImageOps, UnidentifiedImageError

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # a damaged EXIF block only leaves numbers out; sizes are checked here
        try:
            with Image.open(place, formats=FORMATS) as image:
                _check_size(shown, *image.size)
                noted = _noted(image) | {"few_shades": image.mode in _FEW_SHADES}
                profile, matrix = _profile(image.info.get("icc_profile"))
                codes: Codes | None = _sixteen_bits(place, image)
                if codes is None:
                    image.load()
                    codes = _eight_bits(ImageOps.exif_transpose(image))
        except Refusal:
            raise
        except Image.DecompressionBombError:
            raise Refusal(
                f"{shown}: found a picture that says it has over {2 * (Image.MAX_IMAGE_PIXELS or 0) / 1e6:.0f} "
                f"megapixels, expected at most {MOST_PIXELS / 1e6:.0f}. Save it smaller."
            ) from None
        except UnidentifiedImageError:
            raise Refusal(f"{shown}: found no picture that can be read, {_WANT}. Save it as JPEG.") from None
        except MemoryError:
            raise Refusal(f"{shown}: there is not enough memory for this picture. Save it smaller.") from None
        except Exception as error:  # readers of damaged files raise types of every family
            why = " ".join(str(error).split()) or type(error).__name__
            raise Refusal(
                f"{shown}: found a damaged or cut-off picture ({why}), expected a whole one. "
                "Copy it from the camera again."
            ) from None
    table, clip = (srgb_table(), CLIP_CODE) if codes.dtype == np.uint8 else (srgb_table(_MOST), CLIP_CODE * _STEPS)
    return Photograph(place.name, codes, table, clip, profile=profile, xyz_from_rgb=matrix, **noted)


def _sixteen_bits(place: Path, image: Any) -> NDArray[np.uint16] | None:
    """Return a TIFF picture of 16 bits whole and upright, since pillow keeps 8 of them; None where it is none.

    Also None where it is compressed in a way or has planes that only pillow reads: then it is read to 8 bits.
    """
    if image.format != "TIFF" or image.tag_v2.get(_PHOTOMETRIC) not in _BLACK_IS_ZERO:
        return None
    if set(np.atleast_1d(image.tag_v2.get(_BITS, 1)).tolist()) != {16}:
        return None
    import tifffile

    stored = image.tag_v2.get(_ROWS), image.tag_v2.get(_COLUMNS)
    try:
        codes = tifffile.imread(place, key=0)
    except Exception:  # readers of damaged files raise types of every family; pillow says what is wrong
        return None
    colours = 1 if codes.ndim == 2 else codes.shape[-1]
    if codes.dtype != np.uint16 or codes.shape[:2] != stored or colours not in (1, 3):
        return None
    turn = _UPRIGHT.get(image.getexif().get(_ORIENTATION, 1))
    upright = codes if turn is None else turn(codes)
    if colours == 1:
        upright = np.repeat(upright.reshape(*upright.shape[:2], 1), 3, axis=2)
    whole: NDArray[np.uint16] = np.ascontiguousarray(upright)
    return whole


def _eight_bits(image: Any) -> NDArray[np.uint8]:
    if image.mode.startswith("I;16"):
        grey = (np.asarray(image) >> 8).astype(np.uint8)
        return np.repeat(grey[:, :, None], 3, axis=2)
    if image.mode in ("RGBA", "LA", "PA"):
        from PIL import Image

        image = image.convert("RGBA")
        black = Image.new("RGBA", image.size, (0, 0, 0, 255))
        image = Image.alpha_composite(black, image)
    codes: NDArray[np.uint8] = np.asarray(image if image.mode == "RGB" else image.convert("RGB"))
    return codes


def _noted(image: Any) -> dict[str, Any]:
    """Return what the camera noted, as keys of a Photograph."""
    try:
        tags = dict(image.getexif().get_ifd(_EXIF_IFD))
    except Exception:  # as damaged as the file may be, the picture itself can still be good
        return {}
    time, f_number = _positive(tags.get(_TIME)), _positive(tags.get(_F_NUMBER))
    if time is None and _number(tags.get(_TV)) is not None:
        time = _positive(2.0 ** -(_number(tags.get(_TV)) or 0.0))
    if f_number is None and _positive(tags.get(_AV)) is not None:
        f_number = 2.0 ** ((_positive(tags.get(_AV)) or 0.0) / 2.0)
    balance = tags.get(_WHITE_BALANCE)
    return {
        "exposure": None if time is None else Exposure(time, f_number, _positive(tags.get(_ISO))),
        "white_balance": {0: "automatic", 1: "set"}.get(balance, "") if isinstance(balance, int) else "",
        "focal_35mm": _positive(tags.get(_FOCAL_35)),
    }


def _number(value: Any) -> float | None:
    if isinstance(value, tuple) and value:
        value = value[0]
    try:
        number = float(value)
    except (TypeError, ValueError, ZeroDivisionError, OverflowError):
        return None
    return number if abs(number) < 1e6 else None


def _positive(value: Any) -> float | None:
    number = _number(value)
    return number if number is not None and number > 1e-6 else None


def _profile(icc: Any) -> tuple[str, NDArray[np.float64]]:
    """Return the name of a colour profile that is not followed ("" where it is), and the matrix to XYZ."""
    standard = np.array(XYZ_FROM_LINEAR)
    if not isinstance(icc, bytes) or not icc:
        return "", standard
    try:
        import io

        from PIL import ImageCms

        name = " ".join(ImageCms.getProfileDescription(ImageCms.ImageCmsProfile(io.BytesIO(icc))).split())
    except Exception:  # lcms raises its own types; an unreadable profile is one that is not followed
        return "unreadable", standard
    if "P3" in name:
        return "", np.array(XYZ_FROM_P3)
    return ("" if "srgb" in name.lower() else name or "without a name"), standard


def _raw(place: Path, shown: str) -> Photograph:
    try:
        import rawpy
    except ImportError:
        raise Refusal(
            f"{shown}: camera RAW needs the package rawpy, which is not installed. "
            "Install it with: pip install 'hollowglow[raw]', or save the photograph as JPEG."
        ) from None
    try:
        with rawpy.imread(str(place)) as raw:
            sizes = raw.sizes
            _check_size(shown, sizes.width, sizes.height)
            return _developed(place.name, raw, rawpy)
    except Refusal:
        raise
    except MemoryError:
        raise Refusal(f"{shown}: there is not enough memory for this photograph. Save it as JPEG.") from None
    except Exception as error:  # LibRaw's errors have no common base but Exception
        why = " ".join(str(error).split()).strip("b'\"") or type(error).__name__
        raise Refusal(
            f"{shown}: found a camera RAW file that cannot be read ({why}), expected one of a known camera, whole. "
            "Save it as JPEG or DNG."
        ) from None


def _developed(name: str, raw: Any, rawpy: Any) -> Photograph:
    """Return a RAW as linear red, green and blue, one pixel for each square of the filter: nothing is interpolated."""
    codes = raw.postprocess(
        half_size=True,
        gamma=(1.0, 1.0),
        no_auto_bright=True,
        no_auto_scale=False,
        output_bps=16,
        use_camera_wb=False,
        use_auto_wb=False,
        user_wb=[*_daylight(raw)],
        highlight_mode=rawpy.HighlightMode.Clip,
        output_color=rawpy.ColorSpace.sRGB,
        adjust_maximum_thr=0.0,
    )
    lost = _at_limit(raw, codes.shape[:2])
    other = raw.other
    time = _positive(getattr(other, "shutter_speed", None))
    exposure = None
    if time is not None:
        exposure = Exposure(
            time, _positive(getattr(other, "aperture", None)), _positive(getattr(other, "iso_speed", None))
        )
    linear = linear_photograph(name, codes, 0.0, 65535.0, exposure)
    return Photograph(
        name, linear.codes, linear.table, linear.clip_code, lost=lost, exposure=exposure, white_balance="set", raw=True
    )


def _daylight(raw: Any) -> list[float]:
    """Return one white balance for all RAWs of a camera, so that photographs can be compared."""
    factors = [float(f) for f in raw.daylight_whitebalance]
    if not all(f > 0.0 for f in factors[:3]):
        return [1.0, 1.0, 1.0, 1.0]
    return [*factors[:3], factors[3] if factors[3] > 0.0 else factors[1]]


def _at_limit(raw: Any, shape: tuple[int, int]) -> NDArray[np.bool_]:
    """Return where a sensor element of each square is at its limit."""
    sensor = raw.raw_image_visible
    black = float(np.mean(raw.black_level_per_channel))
    limit = black + 0.98 * (float(raw.white_level) - black)
    over = sensor >= limit
    if over.ndim == 3:
        over = over.any(axis=2)
    # LibRaw has turned the picture upright already; its code for that counts quarter turns its own way.
    over = np.rot90(over, {3: 2, 5: 1, 6: 3}.get(raw.sizes.flip, 0))
    rows, columns = (min(n, m // 2) for n, m in zip(shape, over.shape, strict=True))
    lost = np.zeros(shape, np.bool_)
    squares = over[: 2 * rows, : 2 * columns].reshape(rows, 2, columns, 2)
    lost[:rows, :columns] = squares.any(axis=(1, 3))
    return lost
