"""Where to feed each string again, with what, and what it costs: the cheapest plan that meets the limits."""

from strandwright.feed.alternatives import Alternative
from strandwright.feed.analyse import USUAL, FeedPlan, plan_feeds
from strandwright.feed.choice import Choice, FeedPoint, LeadPoint, Price
from strandwright.feed.distance import distance_m
from strandwright.feed.search import Effort
from strandwright.feed.string_plan import StringPlan, shortage_v

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
