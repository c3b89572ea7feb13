"""What a meter should read where it can reach, in which band, and what another reading suggests."""

from hollowglow.analysis.circuit.commission.analyse import Commissioning, MeterBand, analyse
from hollowglow.analysis.circuit.commission.hints import ACROSS_FUSE, Hint, hints
from hollowglow.analysis.circuit.commission.points import ProbeSpot, spots
from hollowglow.analysis.circuit.commission.repair import Repair, repairs

__all__ = [
    "ACROSS_FUSE",
    "Commissioning",
    "Hint",
    "MeterBand",
    "ProbeSpot",
    "Repair",
    "analyse",
    "hints",
    "repairs",
    "spots",
]
