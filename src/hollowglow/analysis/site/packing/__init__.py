"""What is hung in which order, and which box it lies in so that it comes out in that order."""

from hollowglow.analysis.site.packing.analyse import Packed, PackedThing, analyse
from hollowglow.analysis.site.packing.things import PackingThing, things

__all__ = ["Packed", "PackedThing", "PackingThing", "analyse", "things"]
