"""Words about places: cables between props, and strings hung from hooks."""

from __future__ import annotations

from hollowglow.messages.told import Told, Words

_KEYS = {"lead": "lead.length", "span": "span.length", "feed": "the feed's length"}


def _short(t: Told) -> str:
    does = "does" if len(t.raw("cables")) == 1 else "do"
    return (
        f"{t['cables']} {does} not reach. {t['worst']}, {t['length']} long, ends {t['missing']} short of where the drawing "
        "has its other end, pigtails included."
    )


def _longer(t: Told) -> str:
    if t.raw("sort") == "extension":
        return f"Make span.extension one of at least {t['needed']}, or move the props closer."
    return f"Make {_KEYS[t['sort']]} at least {t['needed']}, state drawn in its place, or move the props closer."


def _pull(t: Told) -> str:
    return (
        f"Hook {t['number']} of {t['string']} carries {t.raw('pull_n'):.1f} N, the weight of {t['pull']}, at rest and "
        f"{t.raw('factor'):g} times that in wind; {t['hook']} holds {t['holds']}."
    )


def _hang(t: Told) -> str:
    more = f"let it sag {t['sag']}" if t.raw("sag") is not None else "between more of them"
    return f"Hang it on hooks that hold at least {t['needed']}, or {more}."


WORDS = {
    "cable-too-short": Words(
        "A cable that does not reach",
        "The drawing has its two ends farther apart than the cable with the pigtails at its ends is long.",
        _short,
        _longer,
    ),
    "hook-pull": Words(
        "A hook that may not hold a hung string",
        "A string pulled taut draws on its hooks with many times its weight: half the sag is twice the pull.",
        _pull,
        _hang,
    ),
}
