"""Everything that will physically exist, as frozen tables of arrays that the solvers read directly."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import IntEnum
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from hollowglow.file import Display
from hollowglow.file.model.loads import CHARACTERISTICS, Characteristic

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

NONE = -1


def of_string(string: Ints, row: int) -> slice:
    """Return where one string's rows lie in a table; all tables follow the strings, so they lie together.

    Args:
        string: the table's column of strings, rising.
        row: which string.
    """
    first, last = np.searchsorted(string, [row, row + 1]).tolist()
    return slice(first, last)


class CableSort(IntEnum):
    """What a piece of cable is for; the order is that along the string."""

    LEAD = 0
    IN = 1
    WIRE = 2
    OUT = 3
    SPAN = 4
    FEED = 5


class JointSort(IntEnum):
    """Where a joint sits."""

    LEAD = 0
    SPAN_NEAR = 1
    SPAN_FAR = 2
    FEED = 3


@dataclass(frozen=True)
class LoadCharacteristics:
    """The current-voltage characteristic of each kind: one row a kind.

    Attributes:
        code: place of the characteristic in CHARACTERISTICS.
        idle_a: current of the driver chip, A.
        columns: the parameters of all characteristics by name, one column a colour where there is one for each; what a
            row's own characteristic does not have holds harmless fillers.
    """

    code: Ints
    idle_a: Floats
    columns: Mapping[str, Floats]

    @cached_property
    def falls(self) -> Flags:
        """Return which rows have a current that falls with the voltage: those of switching drivers."""
        return np.array([one.FALLS for one in CHARACTERISTICS])[self.code]

    @property
    def power_w(self) -> Floats:
        """Return the power of each colour of the rows that fall, W."""
        return self.columns["power_w"]

    @property
    def efficiency(self) -> Floats:
        """Return the efficiency of the rows that fall."""
        return self.columns["efficiency"]

    @property
    def cutoff_v(self) -> Floats:
        """Return the lowest running voltage of the rows that fall, V."""
        return self.columns["cutoff_v"]

    @property
    def colours(self) -> int:
        """Return how many colours the table has."""
        return int(self.power_w.shape[1])

    def parameters(self, characteristic: type[Characteristic], rows: Ints) -> tuple[Floats, ...]:
        """Return the parameters of some rows as the characteristic takes them, shapes (n, c) and (n, 1)."""
        own = (self.columns[name][rows] for name in characteristic.COLUMNS)
        return tuple(values if values.ndim == 2 else values[:, None] for values in own)

    def spread(self, rows: Ints, factor: Floats | None = None) -> LoadCharacteristics:
        """Return a table of some rows, their currents without the idle one multiplied by a factor of shape (n, 1)."""
        columns = {name: values[rows] for name, values in self.columns.items()}
        if factor is not None:
            for one in CHARACTERISTICS:
                for name, column in one.COLUMNS.items():
                    if column.power:
                        columns[name] = columns[name] * factor if column.power > 0 else columns[name] / factor
        return LoadCharacteristics(self.code[rows], self.idle_a[rows], columns)


@dataclass(frozen=True)
class Network:
    """The circuit without names: places joined by edges on two rails, supplies, loads between the rails.

    Place 0 is the common V- terminal, places 1..S are the supplies' output terminals; V- is 0 V at all of these.
    Further places follow each string from its supply to its end. A load stands between V+ and V- of its place.

    Attributes:
        places: how many places there are.
        supply_v, supply_ohm: open-circuit voltage and output resistance of each supply, shape (S,).
        edge_a, edge_b: places that an edge joins, shape (E,).
        edge_plus_ohm, edge_minus_ohm: resistance of an edge in V+ and in V-, inf where it is open, shape (E,).
        load_place, load_characteristic: place of a load and row of its characteristic, shape (G,).
        load_count: how many equal nodes stand there, shape (G,).
        characteristics: the current-voltage characteristics.
        duty: duty of each colour by row of the characteristics, shape (K, C).
    """

    places: int
    supply_v: Floats
    supply_ohm: Floats
    edge_a: Ints
    edge_b: Ints
    edge_plus_ohm: Floats
    edge_minus_ohm: Floats
    load_place: Ints
    load_characteristic: Ints
    load_count: Floats
    characteristics: LoadCharacteristics
    duty: Floats


@dataclass(frozen=True)
class Kinds:
    """One row for each kind of the display, in the file's order."""

    names: tuple[str, ...]
    lights: tuple[str, ...]
    nodes: Ints
    emitters: Ints
    colours: Ints
    ganged: Flags
    bits: Ints
    bit_time_s: Floats
    reset_s: Floats
    nominal_v: Floats
    lowest_v: Floats
    flux_lm: Floats
    xy: Floats


@dataclass(frozen=True)
class Strings:
    """One row for each string; `first_prop` and `first_node` have one entry more, so that slices need no care."""

    names: tuple[str, ...]
    controller: Ints
    output: Ints
    supply: Ints
    first_prop: Ints
    first_node: Ints


@dataclass(frozen=True)
class Props:
    """One row for each prop; `number` counts from 1 within its string."""

    string: Ints
    number: Ints
    kind: Ints


@dataclass(frozen=True)
class Nodes:
    """One row for each driver chip, in data order; `number` counts from 1 within its prop, `cell` within its string."""

    prop: Ints
    number: Ints
    load: Ints
    cell: Ints


@dataclass(frozen=True)
class Cables:
    """One row for each piece of cable. `edge` is the network edge that it is part of, NONE where nothing flows.

    `length_m` is the whole piece, as cut or as bought: what is stated (`stated_m`) and the drip loop in it (`loop_m`).
    """

    string: Ints
    sort: Ints
    number: Ints
    part_number: Ints
    part: Ints
    stated_m: Floats
    loop_m: Floats
    length_m: Floats
    ohm: Floats
    edge: Ints


@dataclass(frozen=True)
class Joints:
    """One row for each joint; a joint has its resistance in V+ and in V- alike."""

    string: Ints
    sort: Ints
    number: Ints
    part: Ints
    ohm: Floats
    edge: Ints


@dataclass(frozen=True)
class Fuses:
    """One row for each fuse; `number` is 0 at a string's start, else the prop that its feed stands before."""

    string: Ints
    number: Ints
    rating_a: Floats
    part: Ints
    ohm: Floats
    edge: Ints


@dataclass(frozen=True)
class Assembly:
    """A display expanded: every thing in it, with the display it came from; `load_prop` is the prop of each load."""

    display: Display
    supplies: tuple[str, ...]
    supply_rating_w: Floats
    controllers: tuple[str, ...]
    parts: tuple[str, ...]
    kinds: Kinds
    strings: Strings
    props: Props
    nodes: Nodes
    cables: Cables
    joints: Joints
    fuses: Fuses
    load_prop: Ints
    network: Network

    @cached_property
    def load_string(self) -> Ints:
        """Return the string of each load of the network, shape (G,)."""
        return self.props.string[self.load_prop]

    def part_name(self, index: int) -> str:
        """Return the name of the part with this index, a dash where there is none (a bare fuse rating)."""
        return self.parts[index] if index != NONE else "-"
