"""What to put inside a hollow prop: candidates side by side, ranked, the choice explained."""

from hollowglow.search.fill.candidates import Candidate, candidates
from hollowglow.search.fill.compare import CandidateOutcome, Comparison, compare
from hollowglow.search.fill.rank import PREFERENCES, Prefer, Ranked, Ranking, rank

__all__ = [
    "PREFERENCES",
    "Candidate",
    "CandidateOutcome",
    "Comparison",
    "Prefer",
    "Ranked",
    "Ranking",
    "candidates",
    "compare",
    "rank",
]
