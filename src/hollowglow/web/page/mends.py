"""Where on the workbench each finding is mended."""

from __future__ import annotations

from typing import TYPE_CHECKING
from urllib.parse import urlencode

from hollowglow.assembly.ids import owner

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hollowglow.plan import Plan

# Every code of the list of findings stands here once; a test holds both together.
ROOM_OF: dict[str, str] = {
    code: room
    for room, codes in {
        "feed": (
            "low-voltage light-loss chromaticity-shift supply-load supply-over cable-over joint-over fuse-over-cable "
            "fuse-over-joint fuses-add-up fuse-load fuse-blows no-fuse short-not-cleared "
            "cable-overheats-in-short joint-can-smoulder fuse-may-stay-whole beyond-class-two mains-over mains-load "
            "leakage-adds-up inrush-adds-up no-steady-state two-steady-states not-solved joined-supplies no-power plug-mismatch"
        ),
        "fill": (
            "light-not-computed light-not-settled light-does-not-fit carrier-does-not-fit web-too-thin gland-clamp "
            "gland-two-cables gland-clearance gland-room hole-in-rain gland-on-top drain-missing drain-not-lowest drain-size "
            "hook-weak"
        ),
        "match": "kinds-unequal light-measured reading-outdated",
        "address": "chain-too-long rate-not-reached universe-past-last universe-shared colour-order",
        "place": "cable-too-short hook-pull",
    }.items()
    for code in codes.split()
}


def place_of(code: str, where: Iterable[str], plan: Plan) -> str:
    """Return the address of the page on which a finding is mended, with the string or kind that it is about.

    Args:
        code: of the finding.
        where: the ids that it names.
        plan: that it is from.
    """
    room = ROOM_OF.get(code, "overview")
    names = [owner(name) for name in where]
    strings, kinds = set(plan.assembly.strings.names), set(plan.assembly.kinds.names)
    about = {}
    if room in ("feed", "place"):
        about = {"string": next((n for n in names if n in strings), "")}
    elif room == "fill":
        about = {"kind": next((n for n in names if n in kinds), "")}
    query = urlencode({k: v for k, v in about.items() if v})
    return f"/{room}" + (f"?{query}" if query else "")
