"""The current-voltage characteristics by which lights draw, each a module of its own; adding one adds it here."""

from typing import Annotated

from pydantic import Field

from hollowglow.file.model.loads.characteristic import Characteristic, Lamp
from hollowglow.file.model.loads.constant_current import ConstantCurrentLoad
from hollowglow.file.model.loads.constant_power import ConstantPowerLoad
from hollowglow.file.model.loads.resistor import ResistorLoad

__all__ = [
    "CHARACTERISTICS",
    "CLASSES",
    "Characteristic",
    "ConstantCurrentLoad",
    "ConstantPowerLoad",
    "Lamp",
    "Load",
    "ResistorLoad",
]

Load = Annotated[ConstantCurrentLoad | ResistorLoad | ConstantPowerLoad, Field(discriminator="characteristic")]
# The place of a characteristic here is its code in the table of an assembly.
CHARACTERISTICS: tuple[type[Characteristic], ...] = (ConstantCurrentLoad, ResistorLoad, ConstantPowerLoad)
CLASSES = tuple(one.name() for one in CHARACTERISTICS)
