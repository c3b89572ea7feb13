"""What the tool noticed, and the closed list of what it can notice."""

from strandwright.findings.codes import CODES, Code
from strandwright.findings.finding import Finding, Severity, by_weight, finding

__all__ = ["CODES", "Code", "Finding", "Severity", "by_weight", "finding"]
