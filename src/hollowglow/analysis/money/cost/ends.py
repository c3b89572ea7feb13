"""The far end of each string: every prop is built alike, so the last one too has an out end, and it must be closed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from hollowglow.analysis.money.cost.known import known_part
from hollowglow.assembly import Assembly
from hollowglow.file.model.display import String

SLEEVE = "heat-shrink-adhesive"


@dataclass(frozen=True, slots=True)
class End:
    """How the out end of a string's last prop is closed.

    Attributes:
        plug: the plug that it has like every other prop; one half is wired to it, the other half, without a cable, is
            its cap. None where the out end is bare cable.
        sleeves: pieces of heat-shrink with adhesive that seal a bare end, one a core; 0 where it has a plug or the prop
            has no pigtail.
    """

    plug: str | None
    sleeves: int


def ends(assembly: Assembly) -> Iterator[End]:
    """Yield the far end of every string, in the file's order."""
    for string in assembly.display.strings.values():
        pigtail = assembly.display.kinds[string.props[-1].kind].pigtail
        plug = _span_plug(assembly, string) or (pigtail.plug if pigtail is not None else None)
        cores = 0
        if plug is None and pigtail is not None:
            cable = known_part(assembly, pigtail.cable).cable
            assert cable is not None  # references are checked when the file is read
            cores = cable.cores
        yield End(plug, cores)


def _span_plug(assembly: Assembly, string: String) -> str | None:
    """Return the plug that the spans of a string end in, None where they have none."""
    span = string.span
    if span is None or string.prop_count == 1:
        return None
    ready = known_part(assembly, span.extension).extension if span.extension is not None else None
    name = ready.plug if ready is not None else span.joint
    joint = known_part(assembly, name).joint if name is not None else None
    return name if joint is not None and joint.sort == "plug" else None
