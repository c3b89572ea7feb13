"""What the tool noticed, and the closed list of what it can notice."""

from hollowglow.messages.codes import CODES, Code
from hollowglow.messages.finding import Finding, Severity, by_weight, finding

__all__ = ["CODES", "Code", "Finding", "Severity", "by_weight", "finding"]
