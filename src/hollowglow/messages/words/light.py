"""Words about the light of the kinds."""

from __future__ import annotations

from hollowglow.messages.told import Told, Words

_FIGURES = {"flux_out": "light out", "luminance": "mean luminance", "uniformity": "uniformity"}


def _moved(t: Told) -> str:
    moved = ", ".join(f"{_FIGURES[figure]} {t.say(by)}" for figure, by in t.raw("moved"))
    return f"With {t['patches']} patches the figures of {t['kind']} still move: {moved}."


def _measured(t: Told) -> str:
    told = "; ".join(f"{kind} {t.say(of)} of the computed light ({source})" for kind, of, source in t.raw("readings"))
    return f"Light of {t['kinds']} is as measured on built props and kept beside the file: {told}."


WORDS = {
    "light-not-computed": Words(
        "A prop cannot be as it is stated",
        "The shell, its carrier and the lights do not fit together, or the shell's outline is "
        "not that of a body. What comes out of it cannot be computed, and it cannot be built "
        "like this either.",
        "The light of {kind} cannot be computed: {trouble}.",
        "Mend the shell, the carrier or the positions of the lights of {kind}; lengths are measured from the middle of its "
        "base.",
    ),
    "light-not-settled": Words(
        "Figures of a prop's light are rough",
        "The wall is cut into patches, ever finer until no figure moves by more than 1 %. Here "
        "that was not reached with the finest patches.",
        _moved,
        "Take them as that rough, or simplify the shell's profile.",
    ),
    "light-measured": Words(
        "The light of kinds is as measured",
        "Readings by photograph or by meter are kept beside the display file. As long as a kind "
        "is stated as it was then, its computed light is multiplied by what was measured over "
        "what was computed, so that plan and yard agree.",
        _measured,
        lambda t: f"Nothing to mend; measure again{t.ways.get('measure', '')} when props change.",
    ),
    "reading-outdated": Words(
        "A kind has changed since it was measured",
        "A reading holds for the shell, the carrier and the fill that were measured. This kind "
        "is stated otherwise now, so its reading is left out and its light is what the model "
        "makes of it.",
        "{kind} was measured ({source}) but is stated otherwise since, so its light is as computed.",
        lambda t: f"Measure it again{t.ways.get('measure', '')}; the old reading does not count any more.",
    ),
}
