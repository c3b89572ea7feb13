"""What is hung in which order, and which box it lies in so that it comes out in that order."""

from hollowglow.analysis.site.packing.analyse import Packed, Placed, analyse
from hollowglow.analysis.site.packing.things import Thing, things

__all__ = ["Packed", "Placed", "Thing", "analyse", "things"]
