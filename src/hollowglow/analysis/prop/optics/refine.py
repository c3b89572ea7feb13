"""Patches made finer until what a person is told no longer moves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from hollowglow.analysis.prop.inside.hollow import Floats, Shell
from hollowglow.analysis.prop.optics.beams import PointLight
from hollowglow.analysis.prop.optics.enclosure.carriers import Carrier
from hollowglow.analysis.prop.optics.enclosure.exchange import enclosure
from hollowglow.analysis.prop.optics.look import View, again, view
from hollowglow.analysis.prop.optics.radiosity import DEFAULT_CARRIER_REFLECTANCE, Glow, Interior, Wall, interior
from hollowglow.analysis.prop.optics.seen import Appearance, appearance

STEPS = (600, 1200, 2400, 4000)


@dataclass(frozen=True)
class Settled:
    """The answer for one set of lights, and how far it still moves.

    Attributes:
        glow: what the lights make of the shell, on the finest mesh used.
        appearance: how that looks.
        patches: of that mesh, wall and carrier.
        settled: whether all the figures moved by no more than was asked for.
        spread: how much each figure moved in the last step, as a share of itself.
    """

    glow: Glow
    appearance: Appearance
    patches: int
    settled: bool
    spread: dict[str, float]


@dataclass(frozen=True)
class Refinement:
    """One shell and carrier at several finenesses, each made when first needed and kept for the next lights.

    Attributes:
        shell: the body.
        carrier: what stands inside.
        wall: what the wall does with light.
        ways: directions of viewers, shape (k, 3).
        carrier_reflectance: of the carrier.
        steps: about how many patches the wall has at each step.
        pixels: width of the pictures that uniformity is read from.
    """

    shell: Shell
    carrier: Carrier | None
    wall: Wall
    ways: Floats
    carrier_reflectance: float = DEFAULT_CARRIER_REFLECTANCE
    steps: Sequence[int] = STEPS
    pixels: int = 96
    _made: dict[int, tuple[Interior, list[View]]] = field(default_factory=dict, compare=False, repr=False)

    def step(self, number: int) -> tuple[Interior, list[View]]:
        """Return the interior and the views of one fineness."""
        if number not in self._made:
            room = enclosure(self.shell, self.carrier, self.steps[number])
            inside = interior(room, self.wall, self.carrier_reflectance)
            looks = next((looks for _, looks in self._made.values()), None)
            if looks is None:
                self._made[number] = inside, [view(room, way, self.pixels) for way in self.ways]
            else:
                self._made[number] = inside, [again(look, room) for look in looks]
        return self._made[number]

    def settle(self, lights: Sequence[PointLight], distance_m: float, limit: float = 0.01) -> Settled:
        """Return the light of some lights on patches so fine that the figures move less than `limit`.

        Args:
            lights: at least one.
            distance_m: of the viewer.
            limit: largest share by which flux out, mean luminance and uniformity may still move.
        """
        before: dict[str, float] = {}
        spread: dict[str, float] = {}
        straight: list[Floats] | None = None
        for number in range(len(self.steps)):
            inside, views = self.step(number)
            glow = inside.glow(lights)
            if straight is None:
                straight = [v.straight(lights) for v in views]
            seen = appearance(glow, views, distance_m, straight)
            now = {
                "flux_out": float(glow.flux_out_lm.sum()),
                "luminance": seen.mean_cd_m2,
                "uniformity": seen.uniformity,
            }
            if before:
                spread = {k: abs(now[k] - before[k]) / abs(now[k]) for k in now if now[k]}
                if max(spread.values()) <= limit:
                    break
            before = now
        settled = bool(spread) and max(spread.values()) <= limit
        return Settled(glow, seen, len(inside.room.area), settled, spread)
