"""What the light of the kinds means for the builder."""

from __future__ import annotations

from collections.abc import Iterator

from hollowglow.analysis.prop.optics.analyse import Optics
from hollowglow.assembly import Assembly
from hollowglow.messages import Finding, finding
from hollowglow.quantity.words import percent, several

_WORDS = {"flux_out": "light out", "luminance": "mean luminance", "uniformity": "uniformity"}


def judge(assembly: Assembly, optics: Optics) -> Iterator[Finding]:
    """Yield every finding about the light of the kinds."""
    for name, kind, trouble in zip(assembly.kinds.names, optics.kinds, optics.trouble, strict=True):
        if trouble:
            yield finding(
                "light-not-computed",
                (name,),
                f"The light of {name} cannot be computed: {trouble}.",
                f"Mend the shell, the carrier or the positions of the lights of {name}; lengths are measured from the "
                "middle of its base.",
            )
        elif kind is not None and not kind.settled.settled:
            moved = ", ".join(f"{_WORDS[k]} {percent(v)}" for k, v in kind.settled.spread.items() if v > 0.01)
            yield finding(
                "light-not-settled",
                (name,),
                f"With {kind.settled.patches:,} patches the figures of {name} still move: {moved}.",
                "Take them as that rough, or simplify the shell's profile.",
            )
    known = [(n, m) for n, m in zip(assembly.kinds.names, optics.measured, strict=False) if m is not None]
    if known:
        told = "; ".join(f"{name} {percent(one.luminance)} of the computed light ({one.source})" for name, one in known)
        yield finding(
            "light-measured",
            [name for name, _ in known],
            f"Light of {several([n for n, _ in known])} is as measured on built props and kept beside the file: {told}.",
            "Nothing to mend; measure again with hollowglow match --photo or --meter when props change.",
            "measured",
        )
    for name, source in optics.outdated:
        yield finding(
            "reading-outdated",
            (name,),
            f"{name} was measured ({source}) but is stated otherwise since, so its light is as computed.",
            "Measure it again with hollowglow match --photo or --meter; the old reading does not count any more.",
        )
