"""The voltage and current of everything in a Build, and the light that is left."""

from strandwright.power.analyse import Solved, analyse, nominal_voltage, solve_network
from strandwright.power.circuit import KNOWN, Circuit, is_stiff, prepare
from strandwright.power.draw import Drawer, drawer
from strandwright.power.judge import judge
from strandwright.power.newton import factor, jacobian
from strandwright.power.protection import BLADE_A
from strandwright.power.ratings import cable_ampacity, over, part_ampacity, part_joint_rating
from strandwright.power.relight import Relight, Relit
from strandwright.power.result import Point, Power

__all__ = [
    "BLADE_A",
    "KNOWN",
    "Circuit",
    "Drawer",
    "Point",
    "Power",
    "Relight",
    "Relit",
    "Solved",
    "analyse",
    "cable_ampacity",
    "drawer",
    "factor",
    "is_stiff",
    "jacobian",
    "judge",
    "nominal_voltage",
    "over",
    "part_ampacity",
    "part_joint_rating",
    "prepare",
    "solve_network",
]
