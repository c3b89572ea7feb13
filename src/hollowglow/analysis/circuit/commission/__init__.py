"""What a meter should read where it can reach, in which band, and what another reading suggests."""

from strandwright.commission.analyse import Commissioning, Reading, analyse
from strandwright.commission.hints import ACROSS_FUSE, Hint, hints
from strandwright.commission.points import Spot, spots
from strandwright.commission.repair import Repair, repairs

__all__ = ["ACROSS_FUSE", "Commissioning", "Hint", "Reading", "Repair", "Spot", "analyse", "hints", "repairs", "spots"]
