"""Stable, readable names of everything in an Assembly: rail/prop07/node2, rail/span06, rail/feed07/fuse."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

import numpy as np

from hollowglow.assembly.tables import Assembly, CableSort, Ints, JointSort


def prop_id(string: str, number: int) -> str:
    """Return the id of a prop, counted from 1 along its string."""
    return f"{string}/prop{number:02d}"


def _rows(count: int, rows: Iterable[int] | None) -> Ints:
    return np.arange(count) if rows is None else np.asarray(rows, dtype=np.int64)


def prop_ids(assembly: Assembly, rows: Iterable[int] | None = None) -> list[str]:
    """Return the ids of all props, or of the given rows."""
    names, props = assembly.strings.names, assembly.props
    take = _rows(len(props.string), rows)
    pairs = zip(props.string[take].tolist(), props.number[take].tolist(), strict=True)
    return [f"{names[s]}/prop{n:02d}" for s, n in pairs]


def node_ids(assembly: Assembly, rows: Iterable[int] | None = None) -> list[str]:
    """Return the ids of all nodes, or of the given rows."""
    nodes, props = assembly.nodes, assembly.props
    take = _rows(len(nodes.prop), rows)
    prop = nodes.prop[take]
    names = assembly.strings.names
    triples = zip(props.string[prop].tolist(), props.number[prop].tolist(), nodes.number[take].tolist(), strict=True)
    return [f"{names[s]}/prop{p:02d}/node{n}" for s, p, n in triples]


def emitter_ids(assembly: Assembly) -> Iterator[str]:
    """Yield the id of every LED package: rail/prop07/node2/emitter1 and so on."""
    counts = assembly.kinds.emitters[assembly.props.kind[assembly.nodes.prop]].tolist()
    for node, count in zip(node_ids(assembly), counts, strict=True):
        yield from (f"{node}/emitter{i}" for i in range(1, count + 1))


def cable_ids(assembly: Assembly, rows: Iterable[int] | None = None) -> list[str]:
    """Return the ids of all cables, or of the given rows."""
    cables = assembly.cables
    take = _rows(len(cables.string), rows)
    names = assembly.strings.names
    columns = (cables.string[take], cables.sort[take], cables.number[take], cables.part_number[take])
    found = zip(*(c.tolist() for c in columns), strict=True)
    return [f"{names[s]}/{_CABLE[sort](n, k)}" for s, sort, n, k in found]


_CABLE: dict[int, Callable[[int, int], str]] = {
    CableSort.LEAD: lambda n, k: "lead",
    CableSort.IN: lambda n, k: f"prop{n:02d}/in",
    CableSort.WIRE: lambda n, k: f"prop{n:02d}/wire{k}",
    CableSort.OUT: lambda n, k: f"prop{n:02d}/out",
    CableSort.SPAN: lambda n, k: f"span{n:02d}",
    CableSort.FEED: lambda n, k: f"feed{n:02d}",
}


def joint_ids(assembly: Assembly, rows: Iterable[int] | None = None) -> list[str]:
    """Return the ids of all joints, or of the given rows."""
    joints = assembly.joints
    take = _rows(len(joints.string), rows)
    names = assembly.strings.names
    columns = (joints.string[take], joints.sort[take], joints.number[take])
    return [f"{names[s]}/{_JOINT[sort](n)}" for s, sort, n in zip(*(c.tolist() for c in columns), strict=True)]


_JOINT: dict[int, Callable[[int], str]] = {
    JointSort.LEAD: lambda n: "lead/joint",
    JointSort.SPAN_NEAR: lambda n: f"span{n:02d}/joint1",
    JointSort.SPAN_FAR: lambda n: f"span{n:02d}/joint2",
    JointSort.FEED: lambda n: f"feed{n:02d}/joint",
}


def fuse_ids(assembly: Assembly, rows: Iterable[int] | None = None) -> list[str]:
    """Return the ids of all fuses, or of the given rows."""
    fuses = assembly.fuses
    take = _rows(len(fuses.string), rows)
    names = assembly.strings.names
    pairs = zip(fuses.string[take].tolist(), fuses.number[take].tolist(), strict=True)
    return [f"{names[s]}/fuse" if n == 0 else f"{names[s]}/feed{n:02d}/fuse" for s, n in pairs]
