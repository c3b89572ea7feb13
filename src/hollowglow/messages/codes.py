"""The closed list of finding codes, each with a plain explanation and the source of its limit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal


@dataclass(frozen=True, slots=True)
class Code:
    """What a finding of this code means: severity, short title, plain explanation, basis of its limit."""

    severity: Literal["stop", "warn", "note"]
    title: str
    explanation: str
    basis: str


_BUILDERS_LIMIT = "the display's limits (common practice where none are stated)"

CODES: Mapping[str, Code] = MappingProxyType(
    {
        "low-voltage": Code(
            "warn",
            "A light gets too little voltage",
            "At the moment when all lit colours draw at once, the voltage between V+ and V- at this light is below what "
            "it needs to do its full work. The farthest light from a feed is the first to suffer.",
            "the light's lowest voltage (its part, or its current-voltage characteristic)",
        ),
        "light-loss": Code(
            "warn",
            "A light is visibly dimmer than its neighbours",
            "The voltage that reaches this light leaves its LEDs short of current, so it gives less light than the first "
            "prop of the same kind would at its nominal voltage.",
            _BUILDERS_LIMIT,
        ),
        "chromaticity-shift": Code(
            "warn",
            "White shifts in chromaticity",
            "Blue and green need more voltage than red. Where the voltage is short they fade first and white turns warm "
            "or pink. The chromaticity shift Δu′v′ is a distance in the CIE 1976 diagram, where 0.004 can be seen side by "
            "side and 0.006 is plain.",
            _BUILDERS_LIMIT,
        ),
        "light-not-computed": Code(
            "stop",
            "A prop cannot be as it is stated",
            "The shell, its carrier and the lights do not fit together, or the shell's outline is not that of a body. What "
            "comes out of it cannot be computed, and it cannot be built like this either.",
            "geometry of the prop",
        ),
        "light-not-settled": Code(
            "note",
            "Figures of a prop's light are rough",
            "The wall is cut into patches, ever finer until no figure moves by more than 1 %. Here that was not reached "
            "with the finest patches.",
            "the change with the last refinement",
        ),
        "light-measured": Code(
            "note",
            "The light of kinds is as measured",
            "Readings by photograph or by meter are kept beside the display file. As long as a kind is stated as it was "
            "then, its computed light is multiplied by what was measured over what was computed, so that plan and yard agree.",
            "measured",
        ),
        "reading-outdated": Code(
            "note",
            "A kind has changed since it was measured",
            "A reading holds for the shell, the carrier and the fill that were measured. This kind is stated otherwise now, "
            "so its reading is left out and its light is what the model makes of it.",
            "readings kept beside the display file",
        ),
        "kinds-unequal": Code(
            "note",
            "Kinds of unequal brightness",
            "At the levels of the file one kind looks clearly brighter than another from the viewing distance. What "
            "looks alike has to be set alike: by a level for each kind.",
            "an estimate of our own: a ratio above 1.2 is seen at a glance",
        ),
        "light-does-not-fit": Code(
            "warn",
            "A light has no room",
            "The body of a light reaches into the wall or into another light, or does not pass the shell's opening, or is "
            "wider than what it is mounted on.",
            "the measures of shell, carrier and light as stated",
        ),
        "carrier-does-not-fit": Code(
            "warn",
            "The carrier has no room",
            "The carrier reaches into the wall where it sits, or does not pass the shell's opening.",
            "the measures of shell and carrier as stated",
        ),
        "web-too-thin": Code(
            "warn",
            "Too little is left between holes",
            "What is left of the carrier between two holes, or between a hole and the edge, would break when a light is "
            "pushed in.",
            "an estimate of our own: at least 2 mm and a quarter of the hole",
        ),
        "gland-clamp": Code(
            "warn",
            "A gland does not fit its cable",
            "A gland seals and holds only cables within its clamping range.",
            "the gland's clamping range",
        ),
        "gland-two-cables": Code(
            "warn",
            "More cables than glands",
            "The round seal of a gland closes round one cable. Between two there is a gap that water runs through, unless "
            "the gland has an insert with a hole for each.",
            "common practice: one gland, or one hole of an insert, for each cable",
        ),
        "gland-clearance": Code(
            "warn",
            "A gland's hole does not suit its thread",
            "The thread must go through the hole, and the seal ring must cover what is left round it.",
            "an estimate of our own: a hole 0.1 to 1 mm wider than the thread",
        ),
        "gland-room": Code(
            "warn",
            "A gland has no seat",
            "The flange outside and the nut inside need a flat place, the nuts must clear each other, and the thread must "
            "reach through the wall.",
            "an estimate of our own: flange and nut 1.5 thread diameters wide, 8 mm of thread, a nut of 4 mm",
        ),
        "hole-in-rain": Code(
            "warn",
            "A cable hole that rain reaches",
            "A cable hole on top of a prop, or anywhere but in the base of one that hangs tip up, has water running over it "
            "all night, and a seal made by hand does not last.",
            "common practice: cables leave from below",
        ),
        "gland-on-top": Code(
            "note",
            "Glands on top of a prop",
            "Water follows a cable down to its gland. Where the cable first hangs below the gland, it drips off before.",
            "common practice: a drip loop before each gland",
        ),
        "drain-missing": Code(
            "warn",
            "No drain",
            "No prop stays dry inside for a season: air breathes through every seam and its moisture condenses.",
            "common practice: one drain at the lowest point",
        ),
        "drain-not-lowest": Code(
            "warn",
            "The drain is not at the lowest point",
            "Water stands in the prop up to the drain, freezes there and reaches the lights.",
            "common practice: one drain at the lowest point",
        ),
        "drain-size": Code(
            "note",
            "A drain of an unusual size",
            "A hole that is too small is closed by a drop, dirt or a spider; one that is too large lets insects in.",
            "common practice: 1/8 to 3/16 in",
        ),
        "hook-weak": Code(
            "warn",
            "A hook that may not hold",
            "A prop swings in wind and pulls several times its weight. A loop moulded onto plastic turns brittle in frost "
            "and was made for the prop as it was sold.",
            "the hook's rating against three times the weight (an estimate of our own); common practice: metal for what is "
            "heavier than it was",
        ),
        "cable-too-short": Code(
            "warn",
            "A cable that does not reach",
            "The drawing has its two ends farther apart than the cable with the pigtails at its ends is long.",
            "the places in the file",
        ),
        "hook-pull": Code(
            "warn",
            "A hook that may not hold a hung string",
            "A string pulled taut draws on its hooks with many times its weight: half the sag is twice the pull.",
            "the hook's rating against three times the pull of a catenary (three for wind, an estimate of our own)",
        ),
        "supply-load": Code(
            "warn",
            "A supply works near its limit",
            "A supply that runs at its limit for hours ages quickly and has no reserve on a cold evening.",
            "common practice: continuous load at most 80 % of the rating",
        ),
        "supply-over": Code(
            "stop",
            "A supply is overloaded",
            "Full white would draw more than the supply is rated for: it would switch off, sag or overheat.",
            "the supply's rating",
        ),
        "cable-over": Code(
            "stop",
            "A cable carries more than it may",
            "The current in this cable is above what a cord of its size may carry for hours.",
            "the cable's ampacity",
        ),
        "joint-over": Code(
            "stop",
            "A joint or plug carries more than it may",
            "The contacts of this splice or plug are rated for less current than flows through them; they would warm up, "
            "age and in the end char.",
            "the joint's rating",
        ),
        "fuse-over-cable": Code(
            "stop",
            "A fuse is too big for a cable behind it",
            "A fuse protects the cable behind it. If it carries more than the cable may, the cable is the fuse.",
            "fuse at most the ampacity of the smallest cable behind it",
        ),
        "fuse-over-joint": Code(
            "stop",
            "A fuse is too big for a plug or splice behind it",
            "In a fault the fuse lets through more than this plug or splice is rated for, for as long as it likes.",
            "fuse at most the rating of the weakest plug or splice behind it",
        ),
        "fuses-add-up": Code(
            "stop",
            "Several fuses feed one piece of cable",
            "Where a string is fed again without a cut, a fault beyond both feeds is fed through both fuses at once, so "
            "their ratings add up in the cable and joints between.",
            "fuses that feed one piece from one side together at most what the piece may carry",
        ),
        "fuse-load": Code(
            "warn",
            "A fuse carries a heavy share of its rating",
            "A fuse that runs warm for hours ages and opens some evening without a fault.",
            "common practice: continuous current at most 75 % of a fuse's rating",
        ),
        "fuse-blows": Code(
            "stop",
            "A fuse carries more than its rating",
            "Full white would open this fuse, at once or after minutes.",
            "the fuse's rating",
        ),
        "no-fuse": Code(
            "warn",
            "A cable has no fuse and its supply can overload it",
            "With no fuse in V+ a short lets the whole supply into this cable, more than the cable may carry.",
            "protection of every conductor by a fuse or by its supply's limit",
        ),
        "short-not-cleared": Code(
            "stop",
            "A short that nothing ends",
            "Cable and supply resistance hold the current of a dead short so low that its fuse need not open, or the "
            "supply limits it before; where there is no fuse, the supply can keep more flowing than the cable may carry. "
            "The short goes on until somebody sees it.",
            "ISO 8820-3 time-current points (a fuse need not open below 135 %); IEC 60364-4-43",
        ),
        "cable-overheats-in-short": Code(
            "stop",
            "A cable gets too hot before its fuse opens",
            "Until the fuse opens, the heat of a short stays in the copper. PVC bears 160 degC for a moment; it is "
            "reckoned from 70 degC, a cable at full load.",
            "IEC 60364-4-43: I2t at most k2S2, k = 115 for copper in PVC",
        ),
        "joint-can-smoulder": Code(
            "note",
            "A bad joint could make much heat without opening anything",
            "A wet or charred joint is no dead short: its resistance can draw so little that every fuse holds, and turn "
            "all of it into heat in one place. Most at the resistance of the loop itself, or at the largest current "
            "that the fuse lets pass for good.",
            "maximum power transfer; more than 100 W is the highest class of power source in IEC 62368-1",
        ),
        "fuse-may-stay-whole": Code(
            "note",
            "A short may leave its fuse whole",
            "A supply that switches off and on again in a short may never stay on for long enough to open a fuse. What "
            "flows on average is within every cable's rating, so nothing overheats, but all that hangs on the supply "
            "stays dark and no open fuse tells where to look.",
            "ISO 8820-3 time-current points; the supply's limit as stated or assumed",
        ),
        "beyond-class-two": Code(
            "note",
            "A supply or circuit is beyond the numbers of Class 2",
            "Up to 20 V a Class 2 source is limited to 5 A and to 5 W for each volt, from 20 V to 30 V to 100 W; beyond, "
            "the wiring rules for power circuits apply where the NEC is in force. Only a listed and marked supply is a "
            "Class 2 source, whatever its numbers, and props built at home are not listed products.",
            "NEC chapter 9 table 11(B); wet contact at most 30 V dc (its note 4)",
        ),
        "mains-over": Code(
            "stop",
            "A mains circuit carries more than its breaker",
            "At full white the supplies on this circuit together draw more than its breaker is rated for.",
            "the breaker's rating",
        ),
        "mains-load": Code(
            "warn",
            "A mains circuit works near its limit",
            "A load of three hours or more counts as continuous and may take four fifths of the breaker's rating. What "
            "else hangs on the circuit comes on top.",
            "NEC 210.20(A): continuous load at most 80 % of the breaker",
        ),
        "leakage-adds-up": Code(
            "warn",
            "Standing leakage may trip the residual-current device",
            "The filter of every supply leaks a little to earth all the time, and wet cables and boxes leak more. A "
            "residual-current device may trip from half its rating, so little is left for the rain.",
            "IEC 61008-1: a residual-current device may trip from half its rated residual current",
        ),
        "inrush-adds-up": Code(
            "warn",
            "Switching on all at once may open the breaker",
            "A cold supply takes a surge when it is switched on. Together the surges reach the peak of the current at "
            "which this breaker may open at once.",
            "IEC 60898-1: instantaneous tripping from 3, 5 or 10 times the rating (curve B, C, D)",
        ),
        "no-steady-state": Code(
            "stop",
            "The switching drivers cannot all run",
            "Constant-power lights draw more current the lower their voltage. Past a certain load no voltage satisfies "
            "them all: the string drops out, restarts and drops out again. Voltages are shown only where the rest of the "
            "string can run with some drivers off.",
            "continuation of the network's equations in the load",
        ),
        "two-steady-states": Code(
            "stop",
            "The string can rest at two different voltages",
            "Constant-power lights can rest at a high voltage with a small current or at a low one with a large current, "
            "both above their cutoff. Which one it is depends on how the power came up. The voltages shown are the "
            "higher ones.",
            "continuation of the network's equations in the load",
        ),
        "not-solved": Code(
            "stop",
            "The voltages could not be computed",
            "The computation did not come to rest, or its currents do not add up. Its numbers are not to be used.",
            "charge and energy balance of every solution",
        ),
        "joined-supplies": Code(
            "stop",
            "Two supplies' V+ are joined",
            "One V+ per supply: two supplies joined at V+ push current into each other, share the load by accident, and "
            "a short is fed by both.",
            "common practice: one V+ per supply, V- common",
        ),
        "no-power": Code(
            "stop",
            "Lights that V+ never reaches",
            "No supply is connected to these lights' V+, so they stay dark.",
            "the circuit as stated",
        ),
        "chain-too-long": Code(
            "stop",
            "More nodes on an output than it can drive",
            "Every driver chip counts, also those of ganged lights: the data passes through each of them.",
            "the controller's nodes per output",
        ),
        "rate-not-reached": Code(
            "warn",
            "The chain is too long for the asked frame rate",
            "Sending one frame down this chain takes longer than the time between frames, so frames will be skipped.",
            "bit time x bits x nodes + reset, from driver data sheets",
        ),
        "universe-past-last": Code(
            "stop",
            "Data addresses run past the last universe",
            "The controller, or the standard, has no universe of that number: these cells cannot be addressed.",
            "ANSI E1.31-2018: universes 1 to 63999; the controller's own number of universes",
        ),
        "universe-shared": Code(
            "warn",
            "Two controllers use the same universe",
            "Both controllers take their data from the same universe, so the same slots light props on both of them.",
            "ANSI E1.31-2018: a universe's slots mean the same to every receiver",
        ),
        "colour-order": Code(
            "stop",
            "Colours come out wrong",
            "The controller is told to send the colours of this output in another order than the driver chips of its lights "
            "take them, so that red shows as another colour. All lights on one output must take one order.",
            "the order that the lights' part states",
        ),
        "plug-mismatch": Code(
            "stop",
            "Plugs that do not fit each other",
            "The prop's pigtail and the cable that should plug into it have different plugs.",
            "the parts' mating shapes",
        ),
    }
)
