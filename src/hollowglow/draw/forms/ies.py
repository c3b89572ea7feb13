"""A lamp's intensities as an IES LM-63-2002 file with absolute photometry, Type C."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hollowglow.draw.sheet.plain import plain_text

Floats = NDArray[np.float64]
KEYWORD_LINE = 82
OTHER_LINE = 132
_END = "\r\n"


@dataclass(frozen=True)
class Photometry:
    """What one file says.

    Attributes:
        name, about: of the luminaire.
        display: what it belongs to.
        vertical_deg: angles from straight down, rising from 0 to 180, shape (v,).
        horizontal_deg: angles round the vertical, rising from 0 to 360, shape (h,).
        candela: intensity, cd, shape (h, v).
        opening_m: width, length and height of what shines, m; negative where it is round (a sphere is -d, -d, -d, an
            upright cylinder -d, -d, h).
        watts: input power, W.
    """

    name: str
    about: str
    display: str
    vertical_deg: Floats
    horizontal_deg: Floats
    candela: Floats
    opening_m: tuple[float, float, float]
    watts: float


def solid_angle_flux(vertical_deg: Floats, horizontal_deg: Floats, candela: Floats) -> float:
    """Return the flux of intensities on a grid that are linear between its angles, lm.

    Args:
        vertical_deg: from straight down, degrees, shape (v,).
        horizontal_deg: round the vertical over a whole turn, degrees, shape (h,).
        candela: cd, shape (h, v).

    Source: the integral of I sin(theta) over both angles, in closed form over each interval of theta and by the
    trapezoidal rule over the other angle.
    """
    theta = np.radians(vertical_deg)
    turn = np.radians(horizontal_deg)
    # Integrals of sin and of theta sin over each interval give the exact weight of each end of a straight piece.
    a, b = theta[:-1], theta[1:]
    plain = np.cos(a) - np.cos(b)
    slanted = (np.sin(b) - np.sin(a) - b * np.cos(b) + a * np.cos(a) - a * plain) / (b - a)
    weight = np.zeros(len(theta))
    weight[:-1] += plain - slanted
    weight[1:] += slanted
    round_it = np.zeros(len(turn))
    round_it[:-1] += 0.5 * np.diff(turn)
    round_it[1:] += 0.5 * np.diff(turn)
    return float(round_it @ candela @ weight)


def ies_text(made: Photometry) -> str:
    """Return the file, ASCII with CR LF, the same for the same lamp.

    Lumens per lamp are -1, which says that the candela values are absolute. Source: IES LM-63-2002; the signs of the
    openings as ies2rad of Radiance (pyradiance 1.3.1) reads them, which makes its table of shapes out of that edition.
    """
    if made.candela.shape != (len(made.horizontal_deg), len(made.vertical_deg)):
        raise ValueError(
            f"{made.candela.shape} intensities for {made.horizontal_deg.shape} and {made.vertical_deg.shape}"
        )
    if not np.isfinite(made.candela).all() or (made.candela < 0.0).any():
        raise ValueError("an intensity is negative or no number")
    lines = [
        "IESNA:LM-63-2002",
        *_keyword("TEST", "computed, not measured"),
        *_keyword("TESTLAB", "none: a model of light in a shell"),
        *_keyword("ISSUEDATE", "not issued"),
        *_keyword("MANUFAC", "self-built"),
        *_keyword("LUMCAT", made.name),
        *_keyword("LUMINAIRE", made.about or made.name),
        *_keyword("LAMP", "all colours at full, nominal voltage"),
        *_keyword("OTHER", f"of the display {made.display}"),
        "TILT=NONE",
    ]
    width, length, height = (_number(v) for v in made.opening_m)
    lines.append(f"1 -1 1 {len(made.vertical_deg)} {len(made.horizontal_deg)} 1 2 {width} {length} {height}")
    lines.append(f"1 1 {_number(made.watts if math.isfinite(made.watts) else 0.0)}")
    lines += _wrapped(made.vertical_deg.tolist())
    lines += _wrapped(made.horizontal_deg.tolist())
    for row in made.candela.tolist():
        lines += _wrapped(row)
    return _END.join(lines) + _END


def _keyword(name: str, value: str) -> Iterator[str]:
    """Yield a keyword line, going on with [MORE] where it is too long, between two words where there are any."""
    words = "".join(c if " " <= c <= "~" else "?" for c in plain_text(value)).replace("[", "(").replace("]", ")")
    room = KEYWORD_LINE - len(_END) - len("[LUMINAIRE] ")
    head = name
    while True:
        space = words.rfind(" ", 0, room + 1) if len(words) > room else -1
        end = space if space > 0 else room
        yield f"[{head}] {words[:end]}".rstrip()
        words, head = words[end:].lstrip(), "MORE"
        if not words:
            return


def _wrapped(values: Sequence[float]) -> Iterator[str]:
    line = ""
    for value in values:
        word = _number(value)
        if line and len(line) + 1 + len(word) > OTHER_LINE - len(_END):
            yield line
            line = word
        else:
            line = f"{line} {word}".strip()
    yield line


def _number(value: float) -> str:
    text = f"{value:.6g}"
    return f"{value:.8f}".rstrip("0").rstrip(".") if "e" in text else text
