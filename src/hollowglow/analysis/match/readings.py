"""One measured brightness of one kind, however it was measured: by photograph, by meter, or typed in.

The place of its kind among the others is all a reading need say: luminance and intensity may be relative, as long as
all readings of one set share the scale.
"""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class MeasuredBrightness:
    """The brightness of one kind as measured, all its lights at one and the same setting.

    Attributes:
        kind: name of the kind in the display file.
        luminance: mean over the lit area, in cd/m2 or on a scale shared by the set; `None` when not measured.
        intensity: in cd or on a scale shared by the set; `None` when not measured.
        by_colour: share of each colour of the light, in the light's order, on the scale of the luminance (of the
            intensity when there is no luminance); `None` when colours were not told apart.
        spread: relative standard deviation between props of the kind, 0 for one prop.
    """

    kind: str
    luminance: float | None
    intensity: float | None
    by_colour: tuple[float, ...] | None
    spread: float

    def __post_init__(self) -> None:
        if not self.kind:
            raise ValueError("a reading needs the name of its kind")
        if self.luminance is None and self.intensity is None:
            raise ValueError(f"the reading of {self.kind} has neither luminance nor intensity; give one of them")
        named = [("luminance", self.luminance), ("intensity", self.intensity)]
        named += [("colour", value) for value in self.by_colour or ()]
        for name, value in named:
            if value is not None and not (math.isfinite(value) and value >= 0):
                raise ValueError(f"the {name} of {self.kind} is {value}; it must be a finite number, 0 or more")
        if not (math.isfinite(self.spread) and self.spread >= 0):
            raise ValueError(f"the spread of {self.kind} is {self.spread}; it must be a finite number, 0 or more")
