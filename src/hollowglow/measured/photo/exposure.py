"""How much light an exposure gathers: the arithmetic of time, aperture and film speed (APEX)."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

# Reflected-light constant of most meters, cd s/m2; ISO 2720 allows 10.6 to 13.4.
METER_CONSTANT = 12.5
_LEAST_SPEED = 3.125

_TIME = re.compile(r"(?:(\d+(?:\.\d+)?)/)?(\d+(?:\.\d+)?)\s*s(?:ec)?\b", re.IGNORECASE)
_APERTURE = re.compile(r"f\s*/?\s*(\d+(?:\.\d+)?)", re.IGNORECASE)
_SPEED = re.compile(r"iso\s*(\d+(?:\.\d+)?)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Exposure:
    """Exposure time (s), f-number and ISO speed of one photograph; None where the camera did not say."""

    time_s: float
    f_number: float | None = None
    iso: float | None = None

    def words(self) -> str:
        """Return the exposure as a camera shows it."""
        time = f"1/{1.0 / self.time_s:.0f} s" if self.time_s < 0.3 else f"{self.time_s:g} s"
        more = [f"f/{self.f_number:g}"] if self.f_number else []
        more += [f"ISO {self.iso:g}"] if self.iso else []
        return " ".join([time, *more])


def aperture_value(f_number: float) -> float:
    """Return Av = 2 log2 N of an f-number. Source: APEX, Exif 2.3 annex C."""
    return 2.0 * math.log2(f_number)


def time_value(time_s: float) -> float:
    """Return Tv = -log2 t of an exposure time in s. Source: APEX, Exif 2.3 annex C."""
    return -math.log2(time_s)


def speed_value(iso: float) -> float:
    """Return Sv = log2(S/3.125) of an ISO speed. Source: APEX, Exif 2.3 annex C."""
    return math.log2(iso / _LEAST_SPEED)


def exposure_value(f_number: float, time_s: float) -> float:
    """Return Ev = Av + Tv = log2(N²/t). Source: ISO 2720, APEX."""
    return aperture_value(f_number) + time_value(time_s)


def mean_luminance_cd_m2(exposure: Exposure, constant: float = METER_CONSTANT) -> float:
    """Return the mean luminance that a meter would give this exposure for, L = K N²/(t S).

    Args:
        exposure: with aperture and speed.
        constant: K, cd s/m2.

    Returns:
        Luminance, cd/m2.

    Raises:
        ValueError: the aperture or the speed is not known.

    Source: ISO 2720:1974 (K from 10.6 to 13.4, so it is within 0.17 Ev at best).
    """
    if exposure.f_number is None or exposure.iso is None:
        raise ValueError("a luminance needs the aperture and the speed")
    return constant * exposure.f_number**2 / (exposure.time_s * exposure.iso)


def gathered(exposures: Sequence[Exposure]) -> tuple[float, ...]:
    """Return the value that one and the same luminance gets in each exposure, the first being 1: t S/N².

    Args:
        exposures: an aperture or speed that none of them knows is taken as equal in all.

    Raises:
        ValueError: an aperture or speed that only some of them know.

    Source: APEX (the value grows with 2 to the power of Sv - Av - Tv).
    """
    stops = []
    for one in exposures:
        stop = -time_value(one.time_s)
        if _known([e.f_number for e in exposures], "aperture"):
            assert one.f_number is not None
            stop -= aperture_value(one.f_number)
        if _known([e.iso for e in exposures], "ISO speed"):
            assert one.iso is not None
            stop += speed_value(one.iso)
        stops.append(stop)
    return tuple(2.0 ** (stop - stops[0]) for stop in stops)


def _known(values: Sequence[float | None], what: str) -> bool:
    known = [value is not None for value in values]
    if any(known) and not all(known):
        raise ValueError(f"the {what} is known for some of the photographs only")
    return all(known)


def parse_exposure(text: str) -> Exposure:
    """Return an exposure as a person types it: "1/60 s f/4 ISO 200", the time at least.

    Raises:
        ValueError: no time, or a part that does not belong, with what was expected.
    """
    time, aperture, speed = _TIME.search(text), _APERTURE.search(text), _SPEED.search(text)
    rest = text
    for found in (time, aperture, speed):
        rest = rest.replace(found.group(0), "", 1) if found else rest
    if time is None or rest.strip(" ,;"):
        raise ValueError('expected a time and, if they differ, aperture and speed, such as "1/60 s f/4 ISO 200"')
    seconds = float(time.group(1)) / max(float(time.group(2)), 1e-9) if time.group(1) else float(time.group(2))
    values = (seconds, *(float(m.group(1)) for m in (aperture, speed) if m))
    if not all(0.0 < v < 1e7 for v in values):
        raise ValueError("expected a time, an aperture and a speed above zero")
    return Exposure(seconds, float(aperture.group(1)) if aperture else None, float(speed.group(1)) if speed else None)
