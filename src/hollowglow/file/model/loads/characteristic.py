"""What a current-voltage characteristic is: keys of the file, columns of numbers, and functions of the voltage."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar, NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray
from pydantic import ConfigDict

from hollowglow.file.model.fields import Frozen
from hollowglow.file.model.keys import key
from hollowglow.file.model.loads.bench import Bench, Model
from hollowglow.physics.loads import LoadCurrent

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Column:
    """One parameter as a column of numbers over many lights, or as one for each colour.

    Attributes:
        key: of the file that states it.
        by_colour: whether it has a value for each colour.
        filler: what lights of another characteristic have there, and colours that a light does not have.
        power: to which power of it the current is proportional; 0 where it is not.
    """

    key: str
    by_colour: bool = False
    filler: float = 1.0
    power: int = 0


class Lit(NamedTuple):
    """Lights of all kinds at the duties of some frames, and which rows of them are of one kind.

    Attributes:
        rows: of the kind.
        duty: of each colour, shape (C, L, D).
        flat: what `Lamp.flat` returned for each kind, shape (L, D).
        slope: what `Lamp.slope` returned, 0 where that was None, shape (L, D); None where it was for all.
    """

    rows: Ints | slice
    duty: Floats
    flat: Floats
    slope: Floats | None


class Lamp(Protocol):
    """Equal lights in many frames at once; voltages have shape (L, D), duties (C, L, D), the last axis counts frames.

    With the duties known most of a characteristic is a number for each light and frame, `flat`: what it draws where all
    its colours are as they are at good voltage. What the characteristic makes of it is its own matter.
    """

    @property
    def draws(self) -> Flags:
        """Return which colours draw anything, shape (C,)."""

    def share(self, colour: int, v: Floats) -> Floats:
        """Return what the light of a colour is proportional to at these voltages."""

    def flat(self, duty: Floats) -> Floats:
        """Return the number for each light and frame, shape (L, D)."""

    def slope(self, duty: Floats) -> Floats | None:
        """Return the slope at good voltage, S, shape (L, D); None where it has none or follows from `flat`."""

    def node(self, v: Floats, lowest: float, lit: Lit) -> tuple[Floats, Floats | float]:
        """Return current (A) and slope (S) of one node without its idle current; `lowest` is the least of `v`."""

    def running(self, v: Floats, flat: Floats) -> Flags | None:
        """Return which frames have every lit light running, shape (D,); None where the lights always run."""


def _class_is_required(schema: dict[str, Any]) -> None:
    schema["required"] = ["class", *schema.get("required", [])]


def idle_key() -> Any:
    """Return the declaration of the idle current, which every characteristic has."""
    return key(
        "current of the driver chip itself, drawn whenever there is voltage",
        0.0,
        assumed="current that it draws when dark",
    )


class Characteristic(Frozen):
    """Base of the current-voltage characteristics: which one must be said, so that a file gets none by default.

    Attributes:
        TOLD: what such a light is, after "a light that is".
        COLUMNS: its parameters as columns, by name, in the order in which `draw` takes them.
        FALLS: whether its current falls with the voltage. The solvers prove more for networks with such lights, and look at
            the columns `power_w`, `efficiency` and `cutoff_v`, which these lights must then have.
        NEVER_MEASURED: keys that no reading of a current tells.
        LIGHT_OF_POWER: whether the light of a colour follows its power; else it follows its current.
    """

    TOLD: ClassVar[str]
    COLUMNS: ClassVar[Mapping[str, Column]]
    FALLS: ClassVar[bool] = False
    LIGHT_OF_POWER: ClassVar[bool] = False
    NEVER_MEASURED: ClassVar[tuple[str, ...]] = ()

    model_config = ConfigDict(json_schema_extra=_class_is_required)

    @classmethod
    def name(cls) -> str:
        """Return the class that the file states."""
        return str(cls.model_fields["characteristic"].default)

    @classmethod
    def by_colour(cls) -> list[str]:
        """Return the keys that have a value for each colour."""
        return [column.key for column in cls.COLUMNS.values() if column.by_colour]

    @property
    @abstractmethod
    def lowest_v(self) -> float:
        """Return the voltage below which such a light no longer does its full work, V."""

    @staticmethod
    @abstractmethod
    def draw(v: Floats, running: Flags, *columns: Floats) -> LoadCurrent:
        """Return current (A) and slope (S) of each colour, shape (n, c).

        Args:
            v: voltage across each light, V, shape (n,).
            running: whether each light runs, shape (n,); heeded by those that can stop.
            columns: its parameters, shape (n, c) or (n, 1).
        """

    @staticmethod
    def plateau_v(*columns: Floats) -> Floats:
        """Return the voltage from which the brightness of each light is constant, V; infinite where it never is."""
        return np.full(len(columns[0]), np.inf)

    @staticmethod
    def plateau_a(*columns: Floats) -> Floats | None:
        """Return the current of each colour that is constant from there, A; None where it is not the current."""
        return None

    @staticmethod
    @abstractmethod
    def lamp(row: Mapping[str, Floats]) -> Lamp:
        """Return one light for many frames at once, from its row of every column."""

    @staticmethod
    @abstractmethod
    def model(bench: Bench, stated: Any) -> Model:
        """Return what is to be fitted to readings; `stated` is the load that the file or the catalogue states."""
