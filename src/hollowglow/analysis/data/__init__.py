"""Data order, addresses and timing of a Build."""

from strandwright.signal.analyse import Outputs, Signal, analyse
from strandwright.signal.judge import judge, output_name

__all__ = ["Outputs", "Signal", "analyse", "judge", "output_name"]
