"""Which node is which in the chain, which slots light it, and how often the chain can be refreshed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hollowglow.analysis.data.addresses import SLOTS, assign
from hollowglow.assembly import Assembly
from hollowglow.assembly.tables import Floats, Ints


@dataclass(frozen=True)
class Outputs:
    """One row for each output in use, in the order in which addresses are given out.

    Attributes:
        string: the string on it.
        controller, number: which output.
        chain_nodes: driver chips that the data passes.
        cells: smallest units a show colours.
        frame_time_s: time to send one frame.
        reset_s: the pause in it that latches the frame.
        first_universe, last_universe: universes that its cells use.
        slots: slots that its cells take.
    """

    string: Ints
    controller: Ints
    number: Ints
    chain_nodes: Ints
    cells: Ints
    frame_time_s: Floats
    reset_s: Floats
    first_universe: Ints
    last_universe: Ints
    slots: Ints

    @property
    def max_rate_hz(self) -> Floats:
        """Return how many frames a second each output can send."""
        return 1.0 / self.frame_time_s


@dataclass(frozen=True)
class Signal:
    """Addresses of all nodes and the outputs that carry them.

    Attributes:
        chain: place of each node in its output's data chain, from 1, shape (N,).
        universe, slot: E1.31 universe and first slot (1 to 512) of each node's cell, shape (N,).
        outputs: the outputs in use.
    """

    chain: Ints
    universe: Ints
    slot: Ints
    outputs: Outputs


def frame_time_s(bit_time_s: Floats, bits: Floats, reset_s: float) -> float:
    """Return how long one frame takes on a single-wire chain: the sum of bit time x bits over its nodes, and the pause.

    Args:
        bit_time_s: time of one bit at each node, s, shape (n,).
        bits: data bits that each node takes, shape (n,).
        reset_s: low time that latches the frame, s.

    Source: data sheets of single-wire LED drivers (24 bits of 1.25 us a node, 50 to 300 us reset).
    """
    return float(np.sum(bit_time_s * bits)) + reset_s


def analyse(assembly: Assembly) -> Signal:
    """Return the addresses and timing of an Assembly."""
    strings, nodes, kinds = assembly.strings, assembly.nodes, assembly.kinds
    order = np.lexsort((strings.output, strings.controller))
    kind = assembly.props.kind[nodes.prop]
    count = len(nodes.prop)
    chain = np.arange(count) - np.repeat(strings.first_node[:-1], np.diff(strings.first_node)) + 1
    universe = np.zeros(count, dtype=np.int64)
    slot = np.zeros(count, dtype=np.int64)
    controllers = list(assembly.display.controllers.values())
    next_slot = [(c.first_universe - 1) * SLOTS for c in controllers]
    made: list[tuple[int, ...]] = []
    times: list[float] = []
    resets: list[float] = []
    for row in order.tolist():
        own = slice(int(strings.first_node[row]), int(strings.first_node[row + 1]))
        which = int(strings.controller[row])
        if controllers[which].each_output == "new universe":
            next_slot[which] = -(-next_slot[which] // SLOTS) * SLOTS
        cell = nodes.cell[own]
        first = np.flatnonzero(np.diff(cell, prepend=0))
        width = kinds.colours[kind[own]][first]
        start = assign(width, next_slot[which])
        next_slot[which] = int(start[-1] + width[-1])
        absolute = start[cell - 1]
        universe[own] = absolute // SLOTS + 1
        slot[own] = absolute % SLOTS + 1
        own_kind = kind[own]
        reset = float(kinds.reset_s[np.unique(own_kind)].max())
        time = frame_time_s(kinds.bit_time_s[own_kind], kinds.bits[own_kind].astype(np.float64), reset)
        made.append(
            (
                row,
                which,
                int(strings.output[row]),
                len(cell),
                len(first),
                int(start[0]) // SLOTS + 1,
                int(start[-1]) // SLOTS + 1,
                int(width.sum()),
            )
        )
        times.append(time)
        resets.append(reset)
    string, controller, number, length, cells, first_universe, last_universe, slots = (
        np.array(made, dtype=np.int64).reshape(-1, 8).T
    )
    outputs = Outputs(
        string=string,
        controller=controller,
        number=number,
        chain_nodes=length,
        cells=cells,
        frame_time_s=np.array(times, dtype=np.float64),
        reset_s=np.array(resets, dtype=np.float64),
        first_universe=first_universe,
        last_universe=last_universe,
        slots=slots,
    )
    return Signal(chain, universe, slot, outputs)
