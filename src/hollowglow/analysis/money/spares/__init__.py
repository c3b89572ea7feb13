"""Spares: how many of each part to keep so that a season ends without buying, with a stated chance."""

from hollowglow.analysis.money.spares.analyse import Spare, SparesList, analyse
from hollowglow.analysis.money.spares.choose import chance_of, choose

__all__ = ["Spare", "SparesList", "analyse", "chance_of", "choose"]
