"""Codes whose checks still make their sentences themselves."""

from __future__ import annotations

from collections.abc import Iterable

from hollowglow.messages.finding import Code, Finding

_SAID = ("message", "mend")
SAID = {
    c.name: c
    for c in (
        Code("fuse-over-cable", "stop", "feed", "fuse at most the ampacity of the smallest cable behind it", _SAID),
        Code(
            "fuse-over-joint", "stop", "feed", "fuse at most the rating of the weakest plug or splice behind it", _SAID
        ),
        Code(
            "fuses-add-up",
            "stop",
            "feed",
            "fuses that feed one piece from one side together at most what the piece may carry",
            _SAID,
        ),
        Code("fuse-load", "warn", "feed", "common practice: continuous current at most 75 % of a fuse's rating", _SAID),
        Code("fuse-blows", "stop", "feed", "the fuse's rating", _SAID),
        Code("no-fuse", "warn", "feed", "protection of every conductor by a fuse or by its supply's limit", _SAID),
    )
}


def finding(code: str, where: Iterable[str], message: str, mend: str, basis: str | None = None) -> Finding:
    """Return a finding with the severity of its code, and with its code's basis unless another is given."""
    return SAID[code].found(where, {"message": message, "mend": mend}, basis=basis)
