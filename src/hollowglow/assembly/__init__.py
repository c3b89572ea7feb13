"""Everything that will physically exist: a Display expanded into tables, each thing with a stable id."""

from hollowglow.assembly.expand import expand
from hollowglow.assembly.tables import Build, Network

__all__ = ["Build", "Network", "expand"]
