"""What the light of the kinds means for the builder."""

from __future__ import annotations

from collections.abc import Iterator

from hollowglow.analysis.prop.optics.analyse import Optics
from hollowglow.assembly import Assembly
from hollowglow.messages import Code, Finding, Mend
from hollowglow.messages.told import Fact
from hollowglow.quantity.quantities import share

_MEASURED = "nothing in the file is wrong: what changes it is a new reading beside the file"
LIGHT_NOT_COMPUTED = Code(
    "light-not-computed",
    "stop",
    "fill",
    "geometry of the prop",
    ("kind", "trouble"),
    "which of the stated measures is the wrong one only the builder knows",
)
LIGHT_NOT_SETTLED = Code(
    "light-not-settled",
    "note",
    "fill",
    "the change with the last refinement",
    ("kind", "patches", "moved"),
    "the figures are to be taken as that rough, or another shell is to be chosen",
)
LIGHT_MEASURED = Code("light-measured", "note", "match", "measured", ("kinds", "readings"), _MEASURED)
READING_OUTDATED = Code(
    "reading-outdated", "note", "match", "readings kept beside the display file", ("kind", "source"), _MEASURED
)
CODES = (LIGHT_NOT_COMPUTED, LIGHT_NOT_SETTLED, LIGHT_MEASURED, READING_OUTDATED)


def judge(assembly: Assembly, optics: Optics) -> Iterator[Finding]:
    """Yield every finding about the light of the kinds."""
    for name, kind, trouble in zip(assembly.kinds.names, optics.kinds, optics.trouble, strict=True):
        if trouble:
            yield LIGHT_NOT_COMPUTED.found((name,), {"kind": name, "trouble": trouble}, [Mend("restate")])
        elif kind is not None and not kind.settled.settled:
            moved = tuple((figure, share(by)) for figure, by in kind.settled.spread.items() if by > 0.01)
            facts: dict[str, Fact] = {"kind": name, "patches": kind.settled.patches, "moved": moved}
            yield LIGHT_NOT_SETTLED.found((name,), facts, [Mend("simplify")])
    known = [(n, m) for n, m in zip(assembly.kinds.names, optics.measured, strict=False) if m is not None]
    if known:
        names = tuple(name for name, _ in known)
        readings = tuple((name, share(one.luminance), one.source) for name, one in known)
        yield LIGHT_MEASURED.found(names, {"kinds": names, "readings": readings}, [Mend("measure")], "measured")
    for name, source in optics.outdated:
        yield READING_OUTDATED.found((name,), {"kind": name, "source": source}, [Mend("measure")])
