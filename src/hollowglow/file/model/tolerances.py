"""How far real parts stray from their stated values, and how many displays to sample from that."""

from __future__ import annotations

from typing import Annotated, Literal

from hollowglow.file.model.fields import Frozen, whole
from hollowglow.file.model.keys import key
from hollowglow.quantity.units import ResistanceOrZero, ShareOfParts, TemperatureStep, Tolerance

MOST_SAMPLES = 100_000


class Tolerances(Frozen):
    """How far real parts stray, for `hollowglow tolerance`: 95 % of them lie within plus or minus this."""

    light_current: Tolerance = key(
        "current of each light, all its colours alike; its idle current stays",
        0.08,
        assumed="current of a light, as driver data sheets allow it (estimate)",
    )
    light_flux: Tolerance = key(
        "light of each light at equal current; it changes no voltage",
        0.15,
        assumed="light of one bin of LEDs at equal current (estimate)",
    )
    cable_resistance: Tolerance = key(
        "resistance of cable", 0.03, assumed="resistance of a cable from reel to reel (estimate)"
    )
    cable_varies: Literal["by the reel", "by the piece"] = key(
        "`by the reel`: all pieces of a cable part alike, or `by the piece`",
        "by the reel",
        assumed="all pieces of a cable part come off one reel",
    )
    joint_resistance: Tolerance = key(
        "resistance of each contact of a joint, V+ and V− each by itself (lognormal)",
        0.20,
        assumed="contact of a sound joint (estimate)",
    )
    bad_joints: ShareOfParts = key(
        "share of contacts that have gone bad",
        0.01,
        assumed="contacts that have aged badly after a wet season (estimate)",
    )
    bad_joint: ResistanceOrZero = key(
        "resistance of a contact that has gone bad", 0.05, assumed="resistance of such a contact (estimate)"
    )
    supply_voltage: Tolerance = key(
        "voltage of each supply without load", 0.01, assumed="setting of a supply, as data sheets allow it (estimate)"
    )
    temperature: TemperatureStep = key(
        "conductor temperature, the same everywhere",
        5.0,
        assumed="conductors warmer or colder than ambient says (estimate)",
    )
    samples: Annotated[int, whole(10, MOST_SAMPLES, "how many displays to sample")] = key(
        "how many displays are sampled", 2000, assumed="displays that a tolerance analysis samples"
    )
    seed: Annotated[int, whole(0, 2**53, "where the row of random numbers starts")] = key(
        "where the random numbers start; the same seed gives the same answer",
        1,
        assumed="where its row of random numbers starts",
    )
