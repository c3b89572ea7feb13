"""What the tool noticed, as facts, and the words for it."""

from hollowglow.messages.finding import SEVERITY_WORDS, Code, Finding, Mend, Severity, by_weight, severity_count

__all__ = ["SEVERITY_WORDS", "Code", "Finding", "Mend", "Severity", "by_weight", "severity_count"]
