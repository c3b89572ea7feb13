"""What to put inside a hollow prop: candidates side by side, ranked, the choice explained."""

from hollowglow.search.fill.candidates import Candidate, candidates
from hollowglow.search.fill.compare import Comparison, Outcome, compare
from hollowglow.search.fill.rank import PREFERENCES, Prefer, Ranked, Ranking, rank

__all__ = [
    "PREFERENCES",
    "Candidate",
    "Comparison",
    "Outcome",
    "Prefer",
    "Ranked",
    "Ranking",
    "candidates",
    "compare",
    "rank",
]
