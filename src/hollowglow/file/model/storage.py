"""What is kept for the season and after it, as stated: spares for a chance, and the boxes that a display is stored in."""

from __future__ import annotations

from pydantic import model_validator

from hollowglow.file.model.fields import Frozen
from hollowglow.quantity.shown import refuse
from hollowglow.quantity.units import LengthOrZero, Mass, Share, ShareNotZero, ShortLength

MOST_CHANCE = 0.9999


class Spares(Frozen):
    """The chance to finish a season without buying, and the share of each sort of thing that fails in one."""

    chance: ShareNotZero = 0.95
    light: Share = 0.02
    cable: Share = 0.005
    joint: Share = 0.01
    extension: Share = 0.01
    fuse: Share = 0.03
    supply: Share = 0.03
    controller: Share = 0.02
    shell: Share = 0.01
    carrier: Share = 0.0
    gland: Share = 0.005
    hook: Share = 0.01
    consumable: Share = 0.0

    @model_validator(mode="after")
    def _can_be_met(self) -> Spares:
        if self.chance > MOST_CHANCE:
            raise refuse(
                f"a chance of {100.0 * self.chance:g} %",
                f"at most {100.0 * MOST_CHANCE:g} %, because no number of spares makes it certain",
            )
        return self


class Packing(Frozen):
    """The inside of a storage box, what it may weigh, and the room left around each thing."""

    width: ShortLength = 0.55
    depth: ShortLength = 0.35
    height: ShortLength = 0.30
    mass: Mass = 15.0
    padding: LengthOrZero = 0.01


def spares_defaults(stated: Spares) -> dict[str, tuple[str, str]]:
    """Return value and reason of each default of the spares, by key."""
    made = {"chance": (f"{100.0 * stated.chance:g} %", "that no part runs out before the season ends")}
    for key in Spares.model_fields:
        if key != "chance":
            what = "what is only counted" if key == "consumable" else f"each {key}"
            made[key] = (f"{100.0 * getattr(stated, key):g} %", f"share of {what} that fails in a season (estimate)")
    return made


def packing_defaults(stated: Packing) -> dict[str, tuple[str, str]]:
    """Return value and reason of each default of the packing, by key."""
    return {
        "width": (f"{1e3 * stated.width:g} mm", "inside of a storage box"),
        "depth": (f"{1e3 * stated.depth:g} mm", "inside of a storage box"),
        "height": (f"{1e3 * stated.height:g} mm", "inside of a storage box"),
        "mass": (f"{stated.mass:g} kg", "what one box may hold so that one person can carry it"),
        "padding": (f"{1e3 * stated.padding:g} mm", "left around each thing"),
    }
