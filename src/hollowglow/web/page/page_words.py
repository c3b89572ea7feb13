"""What the jobs say, as a page says it: they speak of options and commands, a page has fields and rooms."""

from __future__ import annotations

import re

_SPOKEN = (
    (r"add --yes-public", "tick the box under the address"),
    (r"with --interface", "under own address"),
    (r"--(to|interface|percent|colour|from): ", ""),
    (r"--(to|from) ", ""),
    (r"hollowglow check (\S+ )?says", "the overview says"),
    (r" \(hollowglow plan\)", ""),
)


def spoken(words: str) -> str:
    """Return what a job says as a page says it, without the names of options.

    >>> spoken('--to: found "x", expected a host. Example: --to 192.168.1.20')
    'Found "x", expected a host. Example: 192.168.1.20'
    """
    begins_with_option = words.startswith("--")
    for option, field in _SPOKEN:
        words = re.sub(option, field, words)
    return words[:1].upper() + words[1:] if begins_with_option else words
