"""The only place where counts become things: a Display expanded into an Assembly."""

from __future__ import annotations

import numpy as np

from hollowglow.assembly.growing import Edges, Growing, Loads
from hollowglow.assembly.kinds import MOST_COLOURS, expand_kinds, light_of, load_characteristics
from hollowglow.assembly.resistances import resolved_supply
from hollowglow.assembly.tables import (
    NONE,
    Assembly,
    Cables,
    Floats,
    Fuses,
    Joints,
    Kinds,
    Network,
    Nodes,
    Props,
    Strings,
)
from hollowglow.file import Display


def duties(display: Display, kinds: Kinds) -> Floats:
    """Return the duty of each colour of each kind at the file's levels and trims, shape (K, colours)."""
    duty = np.zeros((len(kinds.names), MOST_COLOURS))
    for row, name in enumerate(kinds.names):
        colours = int(kinds.colours[row])
        duty[row, :colours] = display.duties(name, colours)
    return duty


def expand(display: Display) -> Assembly:
    """Return everything that a display will physically consist of."""
    kinds = expand_kinds(display)
    grown = Growing(display, kinds)
    for row, string in enumerate(display.strings.values()):
        grown.string(row, string)
    supplies = [resolved_supply(display, s) for s in display.supplies.values()]
    props, nodes = grown.props.table(Props), grown.nodes.table(Nodes)
    loads, edges = grown.loads.table(Loads), grown.edges.table(Edges)
    count = len(display.strings)
    controllers = {name: i for i, name in enumerate(display.controllers)}
    first_prop = np.searchsorted(props.string, np.arange(count + 1))
    strings = Strings(
        names=tuple(display.strings),
        controller=np.array([controllers[s.output.controller] for s in display.strings.values()], dtype=np.int64),
        output=np.array([s.output.number for s in display.strings.values()], dtype=np.int64),
        supply=np.array(
            [NONE if s.supply is None else grown.supply_index[s.supply] for s in display.strings.values()],
            dtype=np.int64,
        ),
        first_prop=first_prop,
        first_node=np.searchsorted(nodes.prop, first_prop),
    )
    network = Network(
        places=grown.places,
        supply_v=np.array([v for v, _, _ in supplies]),
        supply_ohm=np.array([r for _, _, r in supplies]),
        edge_a=edges.a,
        edge_b=edges.b,
        edge_plus_ohm=edges.plus_ohm,
        edge_minus_ohm=edges.minus_ohm,
        load_place=loads.place,
        load_characteristic=loads.characteristic,
        load_count=loads.count,
        characteristics=load_characteristics([light_of(display, name) for name in kinds.names]),
        duty=duties(display, kinds),
    )
    return Assembly(
        display=display,
        supplies=tuple(display.supplies),
        supply_rating_w=np.array([w for _, w, _ in supplies]),
        controllers=tuple(display.controllers),
        parts=grown.catalogue.names,
        kinds=kinds,
        strings=strings,
        props=props,
        nodes=nodes,
        cables=grown.cables.table(Cables),
        joints=grown.joints.table(Joints),
        fuses=grown.fuses.table(Fuses),
        load_prop=loads.prop,
        network=network,
    )
