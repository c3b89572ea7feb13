"""What the tool noticed, and the closed list of what it can notice."""

from hollowglow.messages.codes import CODES, Code
from hollowglow.messages.finding import SEVERITY_WORDS, Finding, Severity, by_weight, finding, severity_count

__all__ = ["CODES", "SEVERITY_WORDS", "Code", "Finding", "Severity", "by_weight", "finding", "severity_count"]
