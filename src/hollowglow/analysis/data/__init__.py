"""Data order, addresses and timing of an Assembly."""

from hollowglow.analysis.data.analyse import Outputs, Signal, analyse
from hollowglow.analysis.data.judge import judge, output_name

__all__ = ["Outputs", "Signal", "analyse", "judge", "output_name"]
