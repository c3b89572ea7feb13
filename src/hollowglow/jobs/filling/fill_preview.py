"""How a kind would look and what it would give with changes that are not yet in its display file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from hollowglow.analysis.prop import optics
from hollowglow.assembly import Assembly, expand
from hollowglow.draw.prop.glow import GlowPicture, glow_row
from hollowglow.draw.sheet.records import Drawing
from hollowglow.file import Display
from hollowglow.file.reading.load import load_text
from hollowglow.file.store.files import read_text
from hollowglow.file.text.commands import Edit
from hollowglow.file.text.edit import edited
from hollowglow.jobs.matching.measured import kept_readings
from hollowglow.messages.refusal import Refusal
from hollowglow.quantity.shown import visible
from hollowglow.view.pictures.kinds import glow_picture

Light = tuple[Assembly, optics.Optics]


@dataclass(frozen=True, eq=False)
class Preview:
    """The light of one kind as the file has it and with changes, each with its Assembly.

    `computed` is that of the file by the model alone, for the next preview; `trouble` is why there is no light.
    """

    kind: str
    now: Light
    then: Light
    computed: Light
    trouble: str


def preview_file(path: Path | str, kind: str, edits: Sequence[Edit], before: Light | None = None) -> Preview:
    """Return the light of a kind as a display file has it, and with edits that are not written.

    Args:
        path: of the display file.
        kind: name of the kind.
        edits: of the file.
        before: an earlier Assembly with its light, so that kinds stated alike are not computed again.

    Raises:
        DisplayError: the file cannot be read, or would have mistakes.
        Refusal: no such kind.
    """
    text, name = read_text(Path(path)), visible(str(path))
    now = _computed(load_text(text, name), before)
    then = _computed(load_text(edited(text, edits, name), name), now)
    names = then[0].kinds.names
    if kind not in now[0].kinds.names or kind not in names:
        raise Refusal(f'There is no kind "{kind}" in this display. Load the page again.')
    trouble = then[1].trouble[names.index(kind)]
    return Preview(kind, _corrected(path, now), _corrected(path, then), now, trouble)


def _computed(display: Display, before: Light | None) -> Light:
    assembly = expand(display)
    return assembly, optics.analyse(assembly, before=before)


def _corrected(path: Path | str, light: Light) -> Light:
    assembly, computed = light
    return assembly, optics.corrected(computed, assembly.kinds.names, kept_readings(path, assembly.display))


def preview_document(preview: Preview) -> dict[str, Any]:
    """Return both as plain data for JSON: lm, cd/m², shares; at the levels of the file."""
    return {
        "kind": preview.kind,
        "now": _figures(preview.kind, preview.now),
        "then": _figures(preview.kind, preview.then),
        "trouble": preview.trouble,
    }


def _figures(name: str, light: Light) -> dict[str, float] | None:
    assembly, lit = light
    row = assembly.kinds.names.index(name)
    kind = lit.kinds[row]
    if kind is None:
        return None
    duty = assembly.network.duty[row, : len(kind.mean_cd_m2)]
    seen = kind.settled.appearance
    return {
        "flux_out": round(float(kind.glow.flux_out_lm @ duty), 6),
        "mean_luminance": round(float(kind.mean_cd_m2 @ duty), 6),
        "uniformity": round(seen.uniformity, 6),
        "hot_spot": round(seen.hot_spot, 6),
    }


def preview_picture(preview: Preview) -> Drawing | None:
    """Return the kind as it is and as it would be, side by side at one exposure; None where neither is lit."""
    made = [
        picture
        for words, light in (("as the file says", preview.now), ("as typed", preview.then))
        if (picture := _glow(preview.kind, words, light)) is not None
    ]
    return glow_row(made, title=f"{preview.kind}: now, and as typed") if made else None


def _glow(name: str, words: str, light: Light) -> GlowPicture | None:
    assembly, lit = light
    row = assembly.kinds.names.index(name)
    kind = lit.kinds[row]
    if kind is None or not assembly.network.duty[row].any():
        return None
    duty = assembly.network.duty[row, : len(kind.mean_cd_m2)]
    display = assembly.display
    return glow_picture(words, kind, assembly.kinds.xy[row], display.kinds[name].hangs, display.viewing, level=duty)
