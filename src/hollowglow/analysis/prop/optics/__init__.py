"""Light inside a hollow translucent shell, and what a viewer sees of it.

    room = enclosure(Sphere(0.150), carrier=None, patches=2000)     # patches and how they share light
    inside = interior(room, Wall((0.45,) * 3, (0.45,) * 3))         # its equations, for any lights
    glow = inside.glow([Light(position, axis, 120.0, (1.5, 3.0, 0.7))])
    looks = appearance(glow, [view(room, way) for way in directions()], distance_m=12.0)

`Ladder` does all of this on finer and finer patches until the figures stand still.
"""

from hollowglow.analysis.prop.inside.hollow import (
    BoxShell,
    OpticsError,
    Shell,
    Sphere,
    TurnedShell,
    cone,
    cylinder,
    lathe,
)
from hollowglow.analysis.prop.optics.analyse import (
    KindLight,
    MeasuredLight,
    Optics,
    PropLight,
    analyse,
    ladder_of,
    level_ring,
    light_up,
    of_props,
)
from hollowglow.analysis.prop.optics.beams import Arrival, PointLight, arrival, axial_intensity, beam_exponent
from hollowglow.analysis.prop.optics.enclosure.carriers import Block, Carrier, Disc, Plate, Tube
from hollowglow.analysis.prop.optics.enclosure.exchange import Enclosure, enclosure
from hollowglow.analysis.prop.optics.judge import judge
from hollowglow.analysis.prop.optics.lamp import PropLamp, lamp_of
from hollowglow.analysis.prop.optics.look import View, seen_areas_m2, view
from hollowglow.analysis.prop.optics.measured import NO_READINGS, KindReadings, corrected, multiplied
from hollowglow.analysis.prop.optics.radiosity import Glow, Interior, Wall, interior
from hollowglow.analysis.prop.optics.refine import Refinement, Settled
from hollowglow.analysis.prop.optics.seen import (
    Appearance,
    appearance,
    blurred,
    directions,
    hot_spot,
    illuminance_at,
    intensity,
    polar_curve,
)

__all__ = [
    "NO_READINGS",
    "Appearance",
    "Arrival",
    "Block",
    "BoxShell",
    "Carrier",
    "Disc",
    "Enclosure",
    "Glow",
    "Interior",
    "KindLight",
    "KindReadings",
    "MeasuredLight",
    "Optics",
    "OpticsError",
    "Plate",
    "PointLight",
    "PropLamp",
    "PropLight",
    "Refinement",
    "Settled",
    "Shell",
    "Sphere",
    "Tube",
    "TurnedShell",
    "View",
    "Wall",
    "analyse",
    "appearance",
    "arrival",
    "axial_intensity",
    "beam_exponent",
    "blurred",
    "cone",
    "corrected",
    "cylinder",
    "directions",
    "enclosure",
    "hot_spot",
    "illuminance_at",
    "intensity",
    "interior",
    "judge",
    "ladder_of",
    "lamp_of",
    "lathe",
    "level_ring",
    "light_up",
    "multiplied",
    "of_props",
    "polar_curve",
    "seen_areas_m2",
    "view",
]
