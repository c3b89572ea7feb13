"""The voltage and current of everything in an Assembly, and the light that is left."""

from hollowglow.analysis.circuit.power.analyse import Solved, analyse, nominal_voltage, solve_network
from hollowglow.analysis.circuit.power.judge import judge
from hollowglow.analysis.circuit.power.network.equations import KNOWN, CircuitEquations, is_stiff, prepare
from hollowglow.analysis.circuit.power.network.loads import Drawer, drawer
from hollowglow.analysis.circuit.power.network.newton import factor, jacobian
from hollowglow.analysis.circuit.power.protection import BLADE_A
from hollowglow.analysis.circuit.power.ratings import cable_ampacity, over, part_ampacity, part_joint_rating
from hollowglow.analysis.circuit.power.relight import Relight, Relit
from hollowglow.analysis.circuit.power.result import Point, Power

__all__ = [
    "BLADE_A",
    "KNOWN",
    "CircuitEquations",
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
