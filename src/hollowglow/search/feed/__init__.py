"""Where to feed each string again, with what, and what it costs: the cheapest plan that meets the limits."""

from hollowglow.search.feed.alternatives import Alternative
from hollowglow.search.feed.analyse import USUAL, FeedPlan, plan_feeds
from hollowglow.search.feed.string_plan import StringPlan, shortage_v
from hollowglow.search.ladder.search import Effort
from hollowglow.search.trials.choice import Choice, FeedPoint, LeadPoint, Price
from hollowglow.search.trials.distance import distance_m

__all__ = [
    "USUAL",
    "Alternative",
    "Choice",
    "Effort",
    "FeedPlan",
    "FeedPoint",
    "LeadPoint",
    "Price",
    "StringPlan",
    "distance_m",
    "plan_feeds",
    "shortage_v",
]
