"""Codes whose sentences come with their findings."""

from __future__ import annotations

from hollowglow.messages.told import Words

WORDS = {
    "low-voltage": Words(
        "A light gets too little voltage",
        "At the moment when all lit colours draw at once, the voltage between V+ and V- at this "
        "light is below what it needs to do its full work. The farthest light from a feed is the "
        "first to suffer.",
        "{message}",
        "{mend}",
    ),
    "light-loss": Words(
        "A light is visibly dimmer than its neighbours",
        "The voltage that reaches this light leaves its LEDs short of current, so it gives less "
        "light than the first prop of the same kind would at its nominal voltage.",
        "{message}",
        "{mend}",
    ),
    "chromaticity-shift": Words(
        "White shifts in chromaticity",
        "Blue and green need more voltage than red. Where the voltage is short they fade first "
        "and white turns warm or pink. The chromaticity shift Δu′v′ is a distance in the CIE "
        "1976 diagram, where 0.004 can be seen side by side and 0.006 is plain.",
        "{message}",
        "{mend}",
    ),
    "supply-load": Words(
        "A supply works near its limit",
        "A supply that runs at its limit for hours ages quickly and has no reserve on a cold evening.",
        "{message}",
        "{mend}",
    ),
    "supply-over": Words(
        "A supply is overloaded",
        "Full white would draw more than the supply is rated for: it would switch off, sag or overheat.",
        "{message}",
        "{mend}",
    ),
    "cable-over": Words(
        "A cable carries more than it may",
        "The current in this cable is above what a cord of its size may carry for hours.",
        "{message}",
        "{mend}",
    ),
    "joint-over": Words(
        "A joint or plug carries more than it may",
        "The contacts of this splice or plug are rated for less current than flows through them; "
        "they would warm up, age and in the end char.",
        "{message}",
        "{mend}",
    ),
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
    "no-steady-state": Words(
        "The switching drivers cannot all run",
        "Constant-power lights draw more current the lower their voltage. Past a certain load no "
        "voltage satisfies them all: the string drops out, restarts and drops out again. "
        "Voltages are shown only where the rest of the string can run with some drivers off.",
        "{message}",
        "{mend}",
    ),
    "two-steady-states": Words(
        "The string can rest at two different voltages",
        "Constant-power lights can rest at a high voltage with a small current or at a low one "
        "with a large current, both above their cutoff. Which one it is depends on how the power "
        "came up. The voltages shown are the higher ones.",
        "{message}",
        "{mend}",
    ),
    "not-solved": Words(
        "The voltages could not be computed",
        "The computation did not come to rest, or its currents do not add up. Its numbers are not to be used.",
        "{message}",
        "{mend}",
    ),
    "joined-supplies": Words(
        "Two supplies' V+ are joined",
        "One V+ per supply: two supplies joined at V+ push current into each other, share the "
        "load by accident, and a short is fed by both.",
        "{message}",
        "{mend}",
    ),
    "no-power": Words(
        "Lights that V+ never reaches",
        "No supply is connected to these lights' V+, so they stay dark.",
        "{message}",
        "{mend}",
    ),
}
