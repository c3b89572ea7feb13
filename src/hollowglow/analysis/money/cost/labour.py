"""Minutes of work, operation by operation."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hollowglow.analysis.money.cost.ends import ends
from hollowglow.analysis.money.cost.known import ready_made
from hollowglow.assembly import Assembly
from hollowglow.assembly.tables import CableSort, Floats

SECONDS_A_MINUTE = 60.0


@dataclass(frozen=True, slots=True)
class Operation:
    """So many times one operation, and the minutes that it takes in all."""

    name: str
    count: int
    minutes: float


def plugs_to_fit(assembly: Assembly) -> int:
    """Return how many plug halves must be wired to a cable.

    They are two for a joint, less those that extensions bring along, and one at the last prop of a plugged string.
    """
    parts = list(assembly.display.parts.values())
    is_plug = np.array([p.joint is not None and p.joint.sort == "plug" for p in parts], dtype=bool)
    halves = 2 * int(is_plug[assembly.joints.part].sum())
    return halves - 2 * int(extension_spans(assembly).sum()) + _capped(assembly)


def _capped(assembly: Assembly) -> int:
    """Return how many strings end in a plug that is closed by its other half."""
    return sum(1 for end in ends(assembly) if end.plug is not None)


def extension_spans(assembly: Assembly) -> Floats:
    """Return how many spans of each string are ready-made extensions, shape (strings,)."""
    gaps = np.diff(assembly.strings.first_prop) - 1
    return np.where(ready_made(assembly), gaps, 0).astype(np.float64)


def operations(assembly: Assembly) -> tuple[Operation, ...]:
    """Return every operation of building and hanging the display with its count and minutes."""
    labour, kinds = assembly.display.labour, assembly.kinds
    stated = list(assembly.display.kinds.values())
    props = np.bincount(assembly.props.kind, minlength=len(stated))

    def each(values: list[int]) -> int:
        return int(np.dot(props, np.array(values, dtype=np.int64))) if values else 0

    cut = assembly.cables.sort != CableSort.SPAN
    cut |= ~ready_made(assembly)[assembly.cables.string]
    by_part = np.bincount(assembly.joints.part, minlength=len(assembly.parts))
    sorts = [p.joint.sort if p.joint else "" for p in assembly.display.parts.values()]

    def joints(sort: str) -> int:
        return int(sum(n for n, s in zip(by_part.tolist(), sorts, strict=True) if s == sort))

    feeds = int((assembly.cables.sort == CableSort.FEED).sum())
    table = (
        ("open a shell", each([1] * len(stated)), labour.open_shell),
        ("fit a light", each(kinds.nodes.tolist()), labour.fit_light),
        ("fit a gland", each([k.gland.count if k.gland else 0 for k in stated]), labour.fit_gland),
        ("fit a pigtail", each([2 if k.pigtail else 0 for k in stated]), labour.fit_pigtail),
        ("fit a hook", each([1 if k.hook else 0 for k in stated]), labour.fit_hook),
        ("close and test a prop", each([1] * len(stated)), labour.close_and_test),
        ("cut and strip a piece of cable", int(cut.sum()), labour.cut_piece),
        ("make a splice", joints("splice"), labour.splice),
        ("make a terminal", joints("terminal"), labour.terminal),
        ("wire a plug", plugs_to_fit(assembly), labour.fit_plug),
        ("plug together", joints("plug") + _capped(assembly), labour.plug),
        ("seal a bare cable end", sum(1 for end in ends(assembly) if end.sleeves), labour.seal_end),
        ("fit a fuse", len(assembly.fuses.edge), labour.fit_fuse),
        ("hang a prop", each([1] * len(stated)), labour.hang_prop),
        ("run a feed", feeds, labour.run_feed),
    )
    return tuple(Operation(name, n, n * s / SECONDS_A_MINUTE) for name, n, s in table if n)


def minutes_per_prop(assembly: Assembly) -> Floats:
    """Return the minutes at the bench for one prop of each kind, shape (kinds,)."""
    labour = assembly.display.labour
    seconds = [
        labour.open_shell
        + labour.fit_light * kind.fill.count
        + labour.fit_gland * (kind.gland.count if kind.gland else 0)
        + labour.fit_pigtail * (2 if kind.pigtail else 0)
        + labour.fit_hook * (1 if kind.hook else 0)
        + labour.close_and_test
        for kind in assembly.display.kinds.values()
    ]
    return np.array(seconds, dtype=np.float64) / SECONDS_A_MINUTE
