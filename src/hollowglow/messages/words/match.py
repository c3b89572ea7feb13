"""Words about kinds beside each other."""

from __future__ import annotations

from hollowglow.messages.told import Told, Words
from hollowglow.quantity.quantities import share, tell
from hollowglow.quantity.words import percent


def _unequal(t: Told) -> str:
    unlike = t.raw("unlike")
    return (
        f"{t['unlike']} outshine{'s' if len(unlike) == 1 else ''} {t['dim']} at the file's levels: {t['bright']} looks "
        f"{percent(t.raw('ratio') - 1.0)} brighter from {t['viewing']}, {t['bright_luminance']} against "
        f"{t['dim_luminance']} over the wall."
    )


def _alike(t: Told) -> str:
    if t.raw("levels") is None:
        return f"Bring the kinds more voltage first; then {t.ways.get('match', 'matching')} finds the levels."
    levels = ", ".join(f"{kind}: {tell(share(level, stated=True))}" for kind, level in t.raw("levels"))
    trims = ", ".join(f"{kind}: [{', '.join(f'{one:.6g}' for one in own)}]" for kind, own in t.raw("trims"))
    apply = t.ways.get("apply")
    return (
        f"They match with levels: {{{levels}}}"
        + (f" and trims: {{{trims}}}" if trims else "")
        + (f"; {apply} writes them into the file." if apply else ".")
    )


WORDS = {
    "kinds-unequal": Words(
        "Kinds of unequal brightness",
        "At the levels of the file one kind looks clearly brighter than another from the viewing "
        "distance. What looks alike has to be set alike: by a level for each kind.",
        _unequal,
        _alike,
    ),
}
