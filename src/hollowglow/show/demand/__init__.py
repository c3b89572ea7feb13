"""What a show draws: from the slots of a frame to the current of every supply and fuse, and how to keep it in bounds."""

from strandwright.demand.addresses import AddressMap
from strandwright.demand.allowed import Allowed
from strandwright.demand.limit import Limited, Limiter
from strandwright.demand.network import Demand
from strandwright.demand.result import Drawn

__all__ = ["AddressMap", "Allowed", "Demand", "Drawn", "Limited", "Limiter"]
