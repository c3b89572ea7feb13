"""Stable, readable names of everything in an Assembly: rail/prop07/node2, rail/span06, rail/feed07/fuse.

Made and read here alone: nothing else knows how an id is put together.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator

import numpy as np

from hollowglow.assembly.tables import Assembly, CableSort, Ints, JointSort


def prop_id(string: str, number: int) -> str:
    """Return the id of a prop, counted from 1 along its string."""
    return f"{string}/prop{number:02d}"


# As a person types it: rail/prop07, rail/7.
_TYPED_PROP = re.compile(r"(.+)/(?:prop)?0*(\d+)")


def owner(name: str) -> str:
    """Return what an id begins with: the string or the controller that a thing belongs to, or the name itself."""
    return name.partition("/")[0]


def read_prop(typed: str) -> tuple[str, int] | None:
    """Return the string and the number of a prop from its id, also from a shorter one (rail/7); None of anything else."""
    match = _TYPED_PROP.fullmatch(typed)
    return (match[1], int(match[2][:9])) if match is not None else None


def prop_of(name: str) -> tuple[str, int]:
    """Return the string and the number of the prop of this id."""
    found = read_prop(name)
    assert found is not None, name
    return found


def end_id(string: str, number: int) -> str:
    """Return the id of the out end of a prop."""
    return f"{prop_id(string, number)}/out"


def span_id(string: str, number: int) -> str:
    """Return the id of the span after a prop."""
    return f"{string}/span{number:02d}"


def run_id(string: str, number: int) -> str:
    """Return the id of the lead (number 0), or of the feed before a prop."""
    return f"{string}/feed{number:02d}" if number else f"{string}/lead"


def run_joint_id(string: str, number: int) -> str:
    """Return the id of the joint at the end of the lead (number 0), or of the feed before a prop."""
    return f"{run_id(string, number)}/joint"


def run_fuse_id(string: str, number: int) -> str:
    """Return the id of the fuse at a string's start (number 0), or of that in the feed before a prop."""
    return f"{run_id(string, number)}/fuse" if number else f"{string}/fuse"


def extensions_id(string: str) -> str:
    """Return the id of the coil of a string's ready-made extensions."""
    return f"{string}/extensions"


def _rows(count: int, rows: Iterable[int] | None) -> Ints:
    return np.arange(count) if rows is None else np.asarray(rows, dtype=np.int64)


def prop_ids(assembly: Assembly, rows: Iterable[int] | None = None) -> list[str]:
    """Return the ids of all props, or of the given rows."""
    names, props = assembly.strings.names, assembly.props
    take = _rows(len(props.string), rows)
    pairs = zip(props.string[take].tolist(), props.number[take].tolist(), strict=True)
    return [prop_id(names[s], n) for s, n in pairs]


def node_ids(assembly: Assembly, rows: Iterable[int] | None = None) -> list[str]:
    """Return the ids of all nodes, or of the given rows."""
    nodes, props = assembly.nodes, assembly.props
    take = _rows(len(nodes.prop), rows)
    prop = nodes.prop[take]
    names = assembly.strings.names
    triples = zip(props.string[prop].tolist(), props.number[prop].tolist(), nodes.number[take].tolist(), strict=True)
    return [f"{prop_id(names[s], p)}/node{n}" for s, p, n in triples]


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
    return [_CABLE[sort](names[s], n, k) for s, sort, n, k in found]


_CABLE: dict[int, Callable[[str, int, int], str]] = {
    CableSort.LEAD: lambda s, n, k: run_id(s, 0),
    CableSort.IN: lambda s, n, k: f"{prop_id(s, n)}/in",
    CableSort.WIRE: lambda s, n, k: f"{prop_id(s, n)}/wire{k}",
    CableSort.OUT: lambda s, n, k: end_id(s, n),
    CableSort.SPAN: lambda s, n, k: span_id(s, n),
    CableSort.FEED: lambda s, n, k: run_id(s, n),
}


def joint_ids(assembly: Assembly, rows: Iterable[int] | None = None) -> list[str]:
    """Return the ids of all joints, or of the given rows."""
    joints = assembly.joints
    take = _rows(len(joints.string), rows)
    names = assembly.strings.names
    columns = (joints.string[take], joints.sort[take], joints.number[take])
    return [_JOINT[sort](names[s], n) for s, sort, n in zip(*(c.tolist() for c in columns), strict=True)]


_JOINT: dict[int, Callable[[str, int], str]] = {
    JointSort.LEAD: lambda s, n: run_joint_id(s, 0),
    JointSort.SPAN_NEAR: lambda s, n: f"{span_id(s, n)}/joint1",
    JointSort.SPAN_FAR: lambda s, n: f"{span_id(s, n)}/joint2",
    JointSort.FEED: run_joint_id,
}


def fuse_ids(assembly: Assembly, rows: Iterable[int] | None = None) -> list[str]:
    """Return the ids of all fuses, or of the given rows."""
    fuses = assembly.fuses
    take = _rows(len(fuses.string), rows)
    names = assembly.strings.names
    pairs = zip(fuses.string[take].tolist(), fuses.number[take].tolist(), strict=True)
    return [run_fuse_id(names[s], n) for s, n in pairs]
