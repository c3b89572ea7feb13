"""How far real parts stray from their stated values, and how many displays to draw from that."""

from __future__ import annotations

from typing import Annotated, Literal

from strandwright.display.fields import Frozen, whole
from strandwright.display.units import ResistanceOrZero, ShareOfParts, TemperatureStep, Tolerance

MOST_DRAWS = 100_000


class Tolerances(Frozen):
    """Half widths between which 95 % of the parts lie, and the share of joints that have aged badly."""

    light_current: Tolerance = 0.08
    light_flux: Tolerance = 0.15
    cable_resistance: Tolerance = 0.03
    cable_varies: Literal["by the reel", "by the piece"] = "by the reel"
    joint_resistance: Tolerance = 0.20
    bad_joints: ShareOfParts = 0.01
    bad_joint: ResistanceOrZero = 0.05
    supply_voltage: Tolerance = 0.01
    temperature: TemperatureStep = 5.0
    draws: Annotated[int, whole(10, MOST_DRAWS, "how many displays to draw")] = 2000
    seed: Annotated[int, whole(0, 2**53, "where the row of random numbers starts")] = 1
