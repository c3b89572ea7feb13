"""Spares: how many of each part to keep so that a season ends without buying, with a stated chance."""

from hollowglow.analysis.money.spares.analyse import Spare, Spares, analyse
from hollowglow.analysis.money.spares.choose import chance_of, choose

__all__ = ["Spare", "Spares", "analyse", "chance_of", "choose"]
