"""The voltage and current of everything in a Build, and the light that is left."""

from strandwright.power.analyse import Solved, analyse, solve_network
from strandwright.power.judge import judge
from strandwright.power.result import Point, Power

__all__ = ["Point", "Power", "Solved", "analyse", "judge", "solve_network"]
