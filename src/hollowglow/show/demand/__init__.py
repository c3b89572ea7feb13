"""What a show draws: from the slots of a frame to the current of every supply and fuse."""

from hollowglow.show.demand.addresses import AddressMap
from hollowglow.show.demand.allowed import Allowed
from hollowglow.show.demand.network import Demand
from hollowglow.show.demand.result import FrameCurrents

__all__ = ["AddressMap", "Allowed", "Demand", "FrameCurrents"]
