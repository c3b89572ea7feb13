"""What is kept for the season and after it, as stated: spares for a chance, and the boxes that a display is stored in."""

from __future__ import annotations

from pydantic import model_validator

from hollowglow.file.model.fields import Frozen
from hollowglow.file.model.keys import key
from hollowglow.quantity.shown import refuse
from hollowglow.quantity.units import LengthOrZero, Mass, Share, ShareNotZero, ShortLength

MOST_CHANCE = 0.9999


class Spares(Frozen):
    """Spares for a season: the chance that they last, and the share of each sort of thing that fails (estimates)."""

    chance: ShareNotZero = key(
        "chance to finish the season without buying anything, all parts together",
        0.95,
        assumed="that no part runs out before the season ends",
    )
    light: Share = key(
        "share of the lights that fail in a season",
        0.02,
        assumed="share of each light that fails in a season (estimate)",
    )
    cable: Share = key(
        "share of the pieces of cable that fail", 0.005, assumed="share of each cable that fails in a season (estimate)"
    )
    joint: Share = key(
        "share of the joints that fail", 0.01, assumed="share of each joint that fails in a season (estimate)"
    )
    extension: Share = key(
        "share of the ready-made extensions that fail",
        0.01,
        assumed="share of each extension that fails in a season (estimate)",
    )
    fuse: Share = key(
        "share of the fuses that open", 0.03, assumed="share of each fuse that fails in a season (estimate)"
    )
    supply: Share = key(
        "share of the supplies that fail", 0.03, assumed="share of each supply that fails in a season (estimate)"
    )
    controller: Share = key(
        "share of the controllers that fail", 0.02, assumed="share of each controller that fails in a season (estimate)"
    )
    shell: Share = key(
        "share of the shells that break", 0.01, assumed="share of each shell that fails in a season (estimate)"
    )
    carrier: Share = key(
        "share of the carriers that break", 0.0, assumed="share of each carrier that fails in a season (estimate)"
    )
    gland: Share = key(
        "share of the glands that fail", 0.005, assumed="share of each gland that fails in a season (estimate)"
    )
    hook: Share = key(
        "share of the hooks that fail", 0.01, assumed="share of each hook that fails in a season (estimate)"
    )
    consumable: Share = key(
        "share of the parts that are only counted",
        0.0,
        assumed="share of what is only counted that fails in a season (estimate)",
    )

    @model_validator(mode="after")
    def _can_be_met(self) -> Spares:
        if self.chance > MOST_CHANCE:
            raise refuse(
                f"a chance of {100.0 * self.chance:g} %",
                f"at most {100.0 * MOST_CHANCE:g} %, because no number of spares makes it certain",
            )
        return self


class Packing(Frozen):
    """A storage box on the inside."""

    width: ShortLength = key("its longer side", 0.55, assumed="inside of a storage box")
    depth: ShortLength = key("its shorter side", 0.35, assumed="inside of a storage box")
    height: ShortLength = key("how high it may be filled", 0.30, assumed="inside of a storage box")
    mass: Mass = key("what may lie in it", 15.0, assumed="what one box may hold so that one person can carry it")
    padding: LengthOrZero = key("left around each thing", 0.01, assumed="left around each thing")
