"""What a person asks of photographs and of a meter: which, how, and for what."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hollowglow.analysis.match import By


@dataclass(frozen=True)
class Look:
    """Photographs to look at: their paths, the exposure typed for each ("" for what the camera noted), the lens.

    `even_lens` corrects the fall of light towards the corners from the focal length that the camera noted.
    """

    paths: tuple[str, ...]
    exposures: tuple[str, ...] = ()
    even_lens: bool = False


@dataclass(frozen=True)
class Naming:
    """The kind of each numbered prop, by number and as typed, which counts more; and what is asked for.

    Attributes:
        kinds: by number.
        typed: the same as words.
        levels: that the kinds had, as typed.
        distances: of the props, as typed.
        by: what must be alike.
        keep: whether what they say is kept.
    """

    kinds: Mapping[int, str]
    typed: str = ""
    levels: str = ""
    distances: str = ""
    by: By | None = None
    keep: bool = False


@dataclass(frozen=True)
class Metering:
    """What a meter showed of each kind, as typed; the levels that they had, as typed; and what is asked for."""

    typed: Mapping[str, str]
    level: str = ""
    by: By | None = None
    keep: bool = False
