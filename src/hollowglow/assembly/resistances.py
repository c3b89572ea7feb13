"""What parts add to the circuit: resistances of cables, joints and fuses, and what a supply is rated for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hollowglow.assembly.tables import NONE, Flags, Floats, Ints
from hollowglow.file import Display
from hollowglow.file.model.display import FuseRef, Supply
from hollowglow.file.model.parts import Cable
from hollowglow.physics import copper


def cable_ohm_per_m(cable: Cable, ambient_c: float) -> float:
    """Return the resistance of one conductor of a cable at the conductor temperature, ohm/m.

    Args:
        cable: the part; its own resistance counts where stated, else that of its size.
        ambient_c: conductor temperature, °C.
    """
    if cable.resistance is not None:
        at_20 = cable.resistance
    elif cable.size is not None and cable.size.awg is not None:
        at_20 = copper.awg_resistance_ohm_per_m(cable.size.awg, stranded=cable.strand == "stranded")
    else:
        assert cable.size is not None  # one of them is stated: checked by the model
        assert cable.size.mm2 is not None
        at_20 = copper.class5_resistance_ohm_per_m(cable.size.mm2)
    return float(copper.at_temperature(at_20, ambient_c))


class PartNumbers:
    """The display's parts by index, with the numbers that expansion asks for."""

    def __init__(self, display: Display) -> None:
        self.parts = display.parts
        self.names = tuple(display.parts)
        self.index = {name: i for i, name in enumerate(self.names)}
        self.ohm_per_m = {
            name: cable_ohm_per_m(part.cable, display.ambient)
            for name, part in display.parts.items()
            if part.cable is not None
        }

    def joint(self, name: str | None) -> tuple[int, float]:
        """Return (part index, ohm) of a joint; (NONE, 0) where there is none."""
        if name is None:
            return NONE, 0.0
        joint = self.parts[name].joint
        assert joint is not None  # references are checked when the file is read
        return self.index[name], joint.resistance

    def fuse(self, ref: FuseRef) -> tuple[float, int, float]:
        """Return (rating, part index, ohm) of a fuse; a bare rating has no part and no resistance."""
        if ref.part is None:
            assert ref.rating_a is not None
            return ref.rating_a, NONE, 0.0
        fuse = self.parts[ref.part].fuse
        assert fuse is not None
        return fuse.rating, self.index[ref.part], fuse.resistance


@dataclass(frozen=True)
class KindCables:
    """Pigtail and inner wiring of each kind, one row a kind."""

    pigtail_m: Floats
    pigtail_ohm: Floats
    pigtail_part: Ints
    wired: Flags
    wire_m: Floats
    wire_ohm: Floats
    wire_part: Ints


def kind_cables(display: Display, catalogue: PartNumbers) -> KindCables:
    """Return the pigtails and inner wirings of a display's kinds."""
    pigtails = [kind.pigtail for kind in display.kinds.values()]
    wirings = [kind.fill.wiring if kind.fill.count > 1 else None for kind in display.kinds.values()]
    return KindCables(
        pigtail_m=np.array([p.length if p else 0.0 for p in pigtails]),
        pigtail_ohm=np.array([p.length * catalogue.ohm_per_m[p.cable] if p else 0.0 for p in pigtails]),
        pigtail_part=np.array([catalogue.index[p.cable] if p else NONE for p in pigtails], dtype=np.int64),
        wired=np.array([w is not None for w in wirings], dtype=bool),
        wire_m=np.array([w.length if w else 0.0 for w in wirings]),
        wire_ohm=np.array([w.length * catalogue.ohm_per_m[w.cable] if w else 0.0 for w in wirings]),
        wire_part=np.array([catalogue.index[w.cable] if w else NONE for w in wirings], dtype=np.int64),
    )


def resolved_supply(display: Display, supply: Supply) -> tuple[float, float, float]:
    """Return (voltage V, rating W, resistance ohm) of a supply; what the file states goes before its part."""
    part = display.parts[supply.part].supply if supply.part is not None else None
    voltage = supply.voltage if supply.voltage is not None else part.voltage if part else 0.0
    rating = supply.rating if supply.rating is not None else part.rating if part else 0.0
    resistance = supply.resistance if supply.resistance is not None else part.resistance if part else 0.0
    return voltage, rating, resistance
