"""What a show draws: from the slots of a frame to the current of every supply and fuse, and how to keep it in bounds."""

from hollowglow.show.demand.addresses import AddressMap
from hollowglow.show.demand.network import Demand
from hollowglow.show.demand.result import Drawn
from hollowglow.show.limiter.allowed import Allowed
from hollowglow.show.limiter.limit import Limited, Limiter

__all__ = ["AddressMap", "Allowed", "Demand", "Drawn", "Limited", "Limiter"]
