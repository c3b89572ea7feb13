"""Everything that will physically exist: a Display expanded into tables, each thing with a stable id."""

from hollowglow.assembly.expand import expand
from hollowglow.assembly.tables import Assembly, Network

__all__ = ["Assembly", "Network", "expand"]
