"""Which slots light which cell, in which order of colours, and the duty that comes of them at every driver chip."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix

from hollowglow.analysis import data as signal
from hollowglow.analysis.data.addresses import SLOTS
from hollowglow.analysis.data.orders import string_orders
from hollowglow.assembly import Assembly
from hollowglow.assembly.kinds import MOST_COLOURS
from hollowglow.assembly.tables import Floats, Ints

Bytes = NDArray[np.uint8]
FULL = 255
DARK = -1
WHITE = 3


@dataclass(frozen=True)
class AddressMap:
    """The address table of a display, ready to turn frames into light and back.

    A frame holds one row of 512 slots for each universe, shape (U, 512); frames may have further axes in front. Cells
    are counted in the order of the build: string by string in the file's order, along each string.

    Attributes:
        universes: E1.31 universes in use, rising.
        cell_string: string of each cell, shape (cells,).
        first_cell: first cell of each string, one entry more at the end.
        cell_colours: how many colours (and so slots) a cell has, shape (cells,).
        cell_slot: where each colour's slot of a cell lies in the frame laid out flat, DARK where the cell has no such
            colour, shape (cells, 4).
        seen_slot: the same for the slot that lights a colour in truth, which differs where the controller is told
            another order of colours than the lights have.
        node_cell: cell of each node, shape (nodes,).
        node_full: duty of each colour of a node at 255, shape (nodes, 4): the file's level times its trims.
        node_gamma: exponent of its controller's curve, shape (nodes,).
        load_nodes: share of each node in the load of the network that it belongs to, shape (loads, nodes).
    """

    universes: tuple[int, ...]
    cell_string: Ints
    first_cell: Ints
    cell_colours: Ints
    cell_slot: Ints
    seen_slot: Ints
    node_cell: Ints
    node_full: Floats
    node_gamma: Floats
    load_nodes: csr_matrix

    @classmethod
    def of(cls, assembly: Assembly) -> AddressMap:
        """Return the address table of an Assembly."""
        nodes, strings, kinds = assembly.nodes, assembly.strings, assembly.kinds
        signalled = signal.analyse(assembly)
        node_string = assembly.props.string[nodes.prop]
        last = strings.first_node[1:] - 1
        per_string = nodes.cell[last] if len(nodes.cell) else np.zeros(0, np.int64)
        first_cell = np.concatenate([[0], np.cumsum(per_string)]).astype(np.int64)
        node_cell = first_cell[node_string] + nodes.cell - 1
        count = int(first_cell[-1])
        head = np.searchsorted(node_cell, np.arange(count))
        universes = np.unique(signalled.universe)
        row = np.searchsorted(universes, signalled.universe[head])
        start = row * SLOTS + signalled.slot[head] - 1
        kind = assembly.props.kind[nodes.prop]
        width = kinds.colours[kind[head]]
        columns = np.arange(MOST_COLOURS)
        used = columns < width[:, None]
        seen = _lit_by(assembly, node_string[head], kind[head])
        controllers = list(assembly.display.controllers.values())
        gamma = np.array([c.curve.gamma for c in controllers])
        loads = len(assembly.network.load_place)
        share = 1.0 / np.bincount(nodes.load, minlength=loads).astype(np.float64)
        at = np.arange(len(nodes.load))
        return cls(
            universes=tuple(universes.tolist()),
            cell_string=node_string[head],
            first_cell=first_cell,
            cell_colours=width,
            cell_slot=np.where(used, start[:, None] + columns, DARK),
            seen_slot=np.where(used, start[:, None] + seen, DARK),
            node_cell=node_cell,
            node_full=assembly.network.duty[kind],
            node_gamma=gamma[strings.controller[node_string]],
            load_nodes=csr_matrix((share[nodes.load], (nodes.load, at)), shape=(loads, len(at))),
        )

    @property
    def cells(self) -> int:
        """Return how many cells there are."""
        return len(self.cell_string)

    def dark(self) -> Bytes:
        """Return a frame with every slot at zero, shape (U, 512)."""
        return np.zeros((len(self.universes), SLOTS), dtype=np.uint8)

    def full(self) -> Bytes:
        """Return the frame with every slot of a cell at 255: the plan's own worst case, shape (U, 512)."""
        flat = self.dark().reshape(-1)
        flat[self.cell_slot[self.cell_slot != DARK]] = FULL
        return flat.reshape(-1, SLOTS)

    def frame(self, colours: NDArray[np.integer]) -> Bytes:
        """Return the frame that asks for these colours, unused slots at zero.

        Red is put where a show puts red. Where the controller is told a wrong order, other colours light: `colours`
        tells which.

        Args:
            colours: red, green, blue (and white) of each cell, 0 to 255, shape (cells, 3) or (cells, 4). With three
                columns a fourth channel stays dark.

        Returns:
            Slots, shape (U, 512).
        """
        asked = np.zeros((self.cells, MOST_COLOURS), dtype=np.uint8)
        asked[:, : colours.shape[1]] = colours
        flat = self.dark().reshape(-1)
        used = self.cell_slot != DARK
        flat[self.cell_slot[used]] = asked[used]
        return flat.reshape(-1, SLOTS)

    def channels(self, frames: Bytes) -> Bytes:
        """Return the value that lights each colour of each cell, shape (..., cells, 4); 0 where there is none."""
        flat = frames.reshape(*frames.shape[:-2], -1)
        values = np.take(flat, np.maximum(self.seen_slot, 0), axis=-1)
        return np.where(self.seen_slot == DARK, np.uint8(0), values)

    def colours(self, frames: Bytes) -> Bytes:
        """Return the red, green and blue of each cell as they appear, shape (..., cells, 3).

        A white channel adds to all three, at most to 255. Levels are left out.
        """
        values = self.channels(frames)
        mixed = values[..., :WHITE].astype(np.uint16) + values[..., WHITE:]
        return np.asarray(np.minimum(mixed, FULL), dtype=np.uint8)

    def duties(self, frames: Bytes) -> Floats:
        """Return the duty of each colour of each node, shape (..., nodes, 4).

        duty = level x trim x (value/255)^gamma: the level lies outside the curve, because a power law keeps products
        apart. The driver's own rounding to 8 bits is left out, so that full slots are the plan's worst case exactly.
        """
        shares = self.channels(frames)[..., self.node_cell, :] / float(FULL)
        gamma = self.node_gamma[:, None]
        if np.any(gamma != 1.0):
            shares = shares**gamma
        return np.asarray(shares * self.node_full, dtype=np.float64)


def _lit_by(assembly: Assembly, string: Ints, kind: Ints) -> Ints:
    """Return which of a cell's slots lights each of its colours, shape (cells, 4).

    Args:
        build: the display expanded.
        string, kind: of each cell, shape (cells,).
    """
    told = string_orders(assembly)
    kinds = len(assembly.kinds.names)
    pair, inverse = np.unique(string * kinds + kind, return_inverse=True)
    table = np.zeros((len(pair), MOST_COLOURS), dtype=np.int64)
    for i, key in enumerate(pair.tolist()):
        table[i] = told[key // kinds].slots_of(assembly.display, assembly.kinds.lights[key % kinds])
    return table[inverse]
