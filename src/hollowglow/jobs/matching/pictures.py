"""Pictures of a match: the kinds before and after at one exposure, and the fades that are left."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from hollowglow.analysis.match import Row, SettingGrid, fade, steps_left
from hollowglow.draw.prop.fades import Fade, fades
from hollowglow.draw.prop.glow import GlowPicture, glow_row
from hollowglow.draw.sheet.records import Drawing
from hollowglow.draw.sheet.svg import to_svg
from hollowglow.file.model.setting import Curve
from hollowglow.file.store.writing import whole
from hollowglow.jobs.matching.match import Matched
from hollowglow.quantity.words import percent
from hollowglow.view.pictures.kinds import glow_picture


def before_and_after(made: Matched) -> Drawing:
    """Return the kinds at the levels of the file and then at those that match, all at one exposure.

    Both show what the voltages leave, averaged over the props of the kind.
    """
    assembly = made.assembly
    before: list[GlowPicture] = []
    after: list[GlowPicture] = []
    found = made.match
    for row, left_now, left in zip(found.rows, found.left_now, found.left, strict=True):
        at = assembly.kinds.names.index(row.kind)
        kind = made.optics.kinds[at]
        assert kind is not None  # only kinds whose light is known are matched
        stated = assembly.network.duty[at, : len(kind.mean_cd_m2)]
        then = row.level * np.array(row.trims)
        hangs = assembly.display.kinds[row.kind].hangs
        for place, words, duty, share in ((before, "now", stated, left_now), (after, "matched", then, left)):
            place.append(
                glow_picture(
                    f"{row.kind}, {words}",
                    kind,
                    assembly.kinds.xy[at],
                    hangs,
                    assembly.display.viewing,
                    level=duty * np.array(share[: len(duty)]),
                    note=f"level {percent(float(duty.max()))}",
                )
            )
    title = f"{assembly.display.display}: now, and matched"
    return glow_row([*before, *after], title=title, viewing_m=assembly.display.viewing)


def fades_left(made: Matched) -> Drawing:
    """Return the staircase of every kind at the levels that match."""
    stairs = [
        Fade(
            row.kind,
            f"level {percent(row.level)}, {row.fade_steps} fade steps",
            tuple(fade(row.level, _curve(row)).tolist()),
        )
        for row in made.match.rows
    ]
    return fades(stairs, title=f"{made.assembly.display.display}: fades that are left")


def _curve(row: Row) -> Curve:
    """Return the curve of the controller that leaves a kind the fewest steps."""
    curves = [one.grid.curve for one in row.settings] or [SettingGrid().curve]
    return min(curves, key=lambda curve: steps_left(row.level, curve))


def write_match(made: Matched, path: Path) -> list[Path]:
    """Write the row of lit kinds to a path and the fades beside it; raises Refusal where that fails."""
    beside = path.with_name(f"{path.stem}-fades{path.suffix or '.svg'}")
    for target, drawing in ((path, before_and_after(made)), (beside, fades_left(made))):
        with whole(target) as stream:
            stream.write(to_svg(drawing))
    return [path, beside]
