"""Everything that will physically exist: a Display expanded into tables, each thing with a stable id."""

from strandwright.build.expand import expand
from strandwright.build.tables import Build, Network

__all__ = ["Build", "Network", "expand"]
