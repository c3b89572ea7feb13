"""How far real parts stray from their stated values, and how many displays to sample from that."""

from __future__ import annotations

from typing import Annotated, Literal

from hollowglow.file.model.fields import Frozen, whole
from hollowglow.quantity.units import ResistanceOrZero, ShareOfParts, TemperatureStep, Tolerance

MOST_SAMPLES = 100_000


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
    samples: Annotated[int, whole(10, MOST_SAMPLES, "how many displays to sample")] = 2000
    seed: Annotated[int, whole(0, 2**53, "where the row of random numbers starts")] = 1


def tolerance_defaults(stated: Tolerances) -> dict[str, tuple[str, str]]:
    """Return value and reason of each default that only a tolerance analysis leans on, by key; all of it is an estimate."""

    def percent(share: float) -> str:
        return f"{100.0 * share:g} %"

    return {
        "light_current": (
            percent(stated.light_current),
            "current of a light, as driver data sheets allow it (estimate)",
        ),
        "light_flux": (percent(stated.light_flux), "light of one bin of LEDs at equal current (estimate)"),
        "cable_resistance": (percent(stated.cable_resistance), "resistance of a cable from reel to reel (estimate)"),
        "cable_varies": (stated.cable_varies, "all pieces of a cable part come off one reel"),
        "joint_resistance": (percent(stated.joint_resistance), "contact of a sound joint (estimate)"),
        "bad_joints": (percent(stated.bad_joints), "contacts that have aged badly after a wet season (estimate)"),
        "bad_joint": (f"{1e3 * stated.bad_joint:g} mohm", "resistance of such a contact (estimate)"),
        "supply_voltage": (percent(stated.supply_voltage), "setting of a supply, as data sheets allow it (estimate)"),
        "temperature": (f"{stated.temperature:g} degC", "conductors warmer or colder than ambient says (estimate)"),
        "samples": (f"{stated.samples}", "displays that a tolerance analysis samples"),
        "seed": (f"{stated.seed}", "where its row of random numbers starts"),
    }
