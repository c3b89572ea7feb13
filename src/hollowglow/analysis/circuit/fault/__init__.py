"""Every short of an Assembly: whether a fuse or a supply's limit ends it, and how warm cables and joints get meanwhile."""

from hollowglow.analysis.circuit.fault.analyse import analyse
from hollowglow.analysis.circuit.fault.judge import fuse_name, judge, outcome_words, worst_of
from hollowglow.analysis.circuit.fault.result import OUTCOMES, Faults

__all__ = ["OUTCOMES", "Faults", "analyse", "fuse_name", "judge", "outcome_words", "worst_of"]
