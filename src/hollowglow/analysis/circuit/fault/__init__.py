"""Every short of a Build: whether a fuse or a supply's limit ends it, and how warm cables and joints get meanwhile."""

from strandwright.fault.analyse import analyse
from strandwright.fault.judge import fuse_name, judge, outcome_words, worst_of
from strandwright.fault.result import OUTCOMES, Faults

__all__ = ["OUTCOMES", "Faults", "analyse", "fuse_name", "judge", "outcome_words", "worst_of"]
