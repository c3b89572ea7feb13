"""Words about what is plugged together."""

from __future__ import annotations

from hollowglow.messages.told import Told, Words


def _plugs(t: Told) -> str:
    other = f"{t['other']} ({t['other_sort']})" if t.raw("other") is not None else "no joint at all"
    if t.raw("at") == "lead":
        return (
            f"{t['kind']}, prop 1 of {t['string']}, has a pigtail with {t['plug']} ({t['sort']}); the lead has {other}."
        )
    return f"{t['kind']} has pigtails with {t['plug']} ({t['sort']}); the spans of {t['string']} have {other}."


def _same_plug(t: Told) -> str:
    at, of = ("lead", "lead's") if t.raw("at") == "lead" else ("spans", "spans'")
    return f"Give the {at} of {t['string']} joint: {t['plug']}, or {t['kind']} a pigtail with the {of} plug."


WORDS = {
    "plug-mismatch": Words(
        "Plugs that do not fit each other",
        "The prop's pigtail and the cable that should plug into it have different plugs.",
        _plugs,
        _same_plug,
    ),
}
