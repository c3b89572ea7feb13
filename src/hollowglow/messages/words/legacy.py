"""Codes whose sentences come with their findings."""

from __future__ import annotations

from hollowglow.messages.told import Words

WORDS = {
    "fuse-over-cable": Words(
        "A fuse is too big for a cable behind it",
        "A fuse protects the cable behind it. If it carries more than the cable may, the cable is the fuse.",
        "{message}",
        "{mend}",
    ),
    "fuse-over-joint": Words(
        "A fuse is too big for a plug or splice behind it",
        "In a fault the fuse lets through more than this plug or splice is rated for, for as long as it likes.",
        "{message}",
        "{mend}",
    ),
    "fuses-add-up": Words(
        "Several fuses feed one piece of cable",
        "Where a string is fed again without a cut, a fault beyond both feeds is fed through "
        "both fuses at once, so their ratings add up in the cable and joints between.",
        "{message}",
        "{mend}",
    ),
    "fuse-load": Words(
        "A fuse carries a heavy share of its rating",
        "A fuse that runs warm for hours ages and opens some evening without a fault.",
        "{message}",
        "{mend}",
    ),
    "fuse-blows": Words(
        "A fuse carries more than its rating",
        "Full white would open this fuse, at once or after minutes.",
        "{message}",
        "{mend}",
    ),
    "no-fuse": Words(
        "A cable has no fuse and its supply can overload it",
        "With no fuse in V+ a short lets the whole supply into this cable, more than the cable may carry.",
        "{message}",
        "{mend}",
    ),
}
