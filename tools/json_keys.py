"""The keys of the JSON document of a plan: found in a real one, explained here."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

ONE = "-"
PART = (ONE, "name of the part")

# Table of the document -> (what it is, key -> (unit, meaning)).
JSON_KEYS: Mapping[str, tuple[str, Mapping[str, tuple[str, str]]]] = {
    "": (
        "The document",
        {
            "display": (ONE, "name of the display"),
            "hollowglow": (ONE, "version that made this plan"),
            "counts": (ONE, "how many of each there are"),
            "assumptions": (ONE, "what is assumed because the file does not say"),
            "findings": (ONE, "what was noticed, gravest first"),
            "kinds": (ONE, "what one prop of each kind holds"),
            "levels": (ONE, "the level of each kind"),
            "supplies": (ONE, "what each supply delivers at full white"),
            "outputs": (ONE, "the data chain of each output in use"),
            "fuses": (ONE, "what each fuse carries"),
            "mains": (ONE, "what each mains circuit carries, leaks and surges"),
            "class2": (ONE, "supplies and circuits against the numbers of Class 2"),
            "bill": (ONE, "every part to buy"),
            "cost": (ONE, "money and minutes in all"),
            "joining": (ONE, "spliced against plugged, for each string with spans"),
            "solution": (ONE, "how well the circuit was solved"),
            "timings": (ONE, "how long each step took"),
            "props": (ONE, "every prop whose light or place is known"),
            "nodes": (ONE, "every node: voltage, current, light, address"),
            "cables": (ONE, "every piece of cable: current, drop, loss"),
            "joints": (ONE, "every joint: current, drop, loss"),
            "faults": (ONE, "a dead short at every joint and far end: current, opening time, heat"),
            "cuts": (ONE, "the cut list: every piece of cable to cut"),
        },
    ),
    "counts": (
        "How many of each there are",
        {
            "strings": (ONE, "strings"),
            "props": (ONE, "props"),
            "emitters": (ONE, "LED packages"),
            "nodes": (ONE, "driver chips"),
            "cells": (ONE, "smallest units that a show colours on its own"),
            "cables": (ONE, "pieces of cable"),
            "joints": (ONE, "joints"),
            "fuses": (ONE, "fuses"),
        },
    ),
    "assumptions": (
        "Defaults that this plan leans on",
        {
            "where": (ONE, "key of the file where it would be stated"),
            "value": (ONE, "what was taken"),
            "reason": (ONE, "what that means"),
        },
    ),
    "findings": (
        "What was noticed; [findings.md](findings.md) explains every code",
        {
            "code": (ONE, "which finding, from a closed list"),
            "severity": (ONE, "`stop` (do not build or energise), `warn` or `note`"),
            "where": (ONE, "ids of what it is about"),
            "message": (ONE, "what was found, with numbers"),
            "basis": (ONE, "the standard or the practice behind the limit"),
            "mend": (ONE, "a way out, with numbers"),
        },
    ),
    "kinds": (
        "What one prop of each kind holds",
        {
            "kind": (ONE, "name of the kind"),
            "props": (ONE, "props of it in the display"),
            "light": (ONE, "name of its light part"),
            "emitters": (ONE, "LED packages in one prop"),
            "nodes": (ONE, "driver chips in one prop"),
            "cells": (ONE, "cells of one prop where the controller can gang"),
            "level": ("share", "its level, 1 at 100 %"),
            "measured": (
                ONE,
                "measured over computed luminance, by which its light is multiplied; null where it is as computed",
            ),
            "flux_in": (
                "lm",
                "light of its lights at full white, its level and nominal voltage, as all light of this table",
            ),
            "flux_out": ("lm", "light that leaves the shell; null without a shell, as all that follows up to `polar`"),
            "flux_in_by_colour": ("lm", "`flux_in` of red, green, blue and white"),
            "flux_out_by_colour": ("lm", "`flux_out` of red, green, blue and white"),
            "light_output_ratio": ("share", "`flux_out` over `flux_in`"),
            "mean_luminance": ("cd/m²", "luminance averaged over the wall"),
            "peak_luminance": ("cd/m²", "highest luminance from any side"),
            "uniformity": (ONE, "lowest over mean luminance of what a viewer sees, from the worst side"),
            "luminance_ratio": (
                ONE,
                "95th over 5th percentile of the luminance that a viewer sees, from the worst side",
            ),
            "hot_spot": (ONE, "highest over mean luminance less 1, blurred by one arcminute at the viewing distance"),
            "intensity": ("cd", "towards viewers at its own height, averaged all round"),
            "polar": (ONE, "intensity round a vertical circle in the prop's frame"),
            "power": ("W", "mean power of one prop at full white and its level, as the display's voltages have it"),
            "cost": (
                "currency",
                "parts of one prop, its pigtails and inner wiring included; unpriced parts count 0",
            ),
            "minutes": ("min", "work at the bench for one prop (an estimate)"),
            "holes": (ONE, "every hole of one prop"),
            "web": ("m", "thinnest web between bores, or to an edge; null where nothing is bored"),
            "mass_before": ("kg", "mass of one prop as bought, cells included, as far as masses are stated"),
            "mass_after": ("kg", "mass of one prop as built, as far as masses are stated"),
            "mass_unknown": (ONE, "what of that has no stated mass"),
            "hook_load": ("N", "weight on its hook without swing"),
            "switch_stays": (ONE, "whether the old switch can stay to close its opening; null without one"),
            "steps": (ONE, "how one prop is built, in order"),
        },
    ),
    "kinds.polar": (
        "Intensity round a vertical circle",
        {
            "angle": ("degree", "from the prop's base over one side"),
            "intensity": ("cd", "all colours together, at the kind's level"),
        },
    ),
    "kinds.holes": (
        "Every hole of one prop",
        {
            "where": (ONE, "`carrier` with the face, or `shell` with the place"),
            "use": (ONE, "`light`, `cable` or `drain`"),
            "diameter": ("m", "diameter of the hole"),
            "drill_metric": (ONE, "nearest metric drill"),
            "drill_inch": (ONE, "nearest drill in 64ths of an inch"),
            "number": (ONE, "number of the light or of the hole, from 1"),
            "u": ("m", "on a carrier's face: right of its middle"),
            "v": ("m", "on a carrier's face: above its middle"),
            "point": ("m", "on the shell: x, y, z from the middle of the base, z towards the tip"),
        },
    ),
    "kinds.steps": (
        "How one prop is built",
        {
            "step": (ONE, "name of the step"),
            "how": (ONE, "what is done"),
            "parts": (ONE, "parts that it takes"),
            "tools": (ONE, "tools that it takes"),
            "minutes": ("min", "how long it takes (an estimate); null where that is counted elsewhere"),
        },
    ),
    "props": (
        "Every prop whose light (at full white, its kind's level and the voltages that reach it) or place is known; else null",
        {
            "id": (ONE, "`string/propNN`"),
            "kind": (ONE, "name of its kind"),
            "x": ("m", "its place, to the right"),
            "y": ("m", "up on a wall, ahead on a plan"),
            "z": ("m", "the third length: towards the viewer on a wall, up on a plan"),
            "flux_out": ("lm", "light that leaves the shell"),
            "mean_luminance": ("cd/m²", "luminance averaged over the wall"),
            "intensity": ("cd", "towards viewers at its own height, averaged all round"),
        },
    ),
    "levels": (
        "Levels of the file against the dimmest kind that is lit; `match --json`: those that match, against the target",
        {
            "kind": (ONE, "name of the kind"),
            "level": ("share", "its level, 1 at 100 %"),
            "trims": ("share", "of each colour under that level"),
            "luminance": (
                "cd/m²",
                "mean over the wall at full white, the voltages of its props included; null if unknown",
            ),
            "intensity": ("cd", "towards viewers at its own height, as `luminance`"),
            "residual": ("share", "its brightness over that of the measure, less 1"),
            "residual_lightness": ("L*", "CIE 1976 lightness of its brightness, the measure having 100, less 100"),
            "chromaticity_shift": ("u'v'", "distance of its white from that of the measure, CIE 1976"),
            "fade_steps": (
                ONE,
                "different duties above dark that its level leaves to fade with, on the controller that leaves the fewest",
            ),
            "fade_steps_by_colour": (ONE, "the same of each colour under its trim"),
            "settings": (ONE, "what to type into each controller that carries it"),
        },
    ),
    "levels.settings": (
        "What to type into a controller",
        {
            "controller": (ONE, "name of the controller"),
            "curve": (ONE, "its curve"),
            "percent": (ONE, "the setting of the level in percent"),
            "of_255": (ONE, "the same as a number from 0 to 255"),
            "trims_percent": (ONE, "the settings of the trims in percent; null where no colour is trimmed"),
            "trims_of_255": (ONE, "the same as numbers from 0 to 255; null where no colour is trimmed"),
        },
    ),
    "supplies": (
        "What each supply delivers, averaged over time, at full white and the file's levels",
        {
            "id": (ONE, "name of the supply"),
            "voltage": ("V", "voltage without load"),
            "rating": ("W", "power that it may deliver for hours"),
            "current": ("A", "current out of it"),
            "power": ("W", "current times voltage without load, before its own resistance"),
            "load_fraction": ("share", "power over rating"),
        },
    ),
    "outputs": (
        "The data chain of each output in use, in the order in which addresses are given out",
        {
            "id": (ONE, "controller and output number"),
            "string": (ONE, "the string on it"),
            "chain_nodes": (ONE, "driver chips that the data passes"),
            "cells": (ONE, "cells on it"),
            "slots": (ONE, "slots that its cells take"),
            "frame_time": ("s", "time to send one frame"),
            "max_rate": ("Hz", "frames a second that it can send"),
            "universes": (ONE, "universes that its cells use"),
        },
    ),
    "fuses": (
        "What each fuse carries, averaged over time",
        {
            "id": (ONE, "string and place; its label"),
            "part": (ONE, "name of the part, a dash for a bare rating"),
            "rating": ("A", "rated current"),
            "current": ("A", "current through it"),
            "load_fraction": ("share", "current over rating"),
        },
    ),
    "mains": (
        "What each mains circuit carries; the last row, `-`, is that of supplies whose circuit is not stated",
        {
            "id": (ONE, "name of the circuit"),
            "supplies": (ONE, "supplies on it"),
            "voltage": ("V", "mains voltage"),
            "breaker": ("A", "rating of its breaker"),
            "power": ("W", "power from the mains at full white"),
            "current": ("A", "its current, power factor included"),
            "load_fraction": ("share", "current over the breaker's rating"),
            "leakage": ("A", "standing leakage of its supplies together"),
            "rcd": ("A", "rating of its residual-current device"),
            "inrush": ("A", "peak when all are switched on cold together"),
            "opens_at_once": ("A", "peak from which the breaker may open at once"),
            "switch_on": (ONE, "supplies that can be switched on together, one group a second after the other"),
            "energy": ("kWh", "energy of the season (an estimate)"),
            "price": ("currency", "what that costs"),
        },
    ),
    "class2": (
        "Supplies and their circuits against the numbers of NEC chapter 9 table 11(B); numbers alone make none Class 2",
        {
            "id": (ONE, "name of the supply, for a circuit with that of its string"),
            "what": (ONE, "`supply` or `circuit`"),
            "voltage": ("V", "voltage without load"),
            "power": ("W", "rating of a supply; what a circuit carries at full white"),
            "current": ("A", "rated current of a supply; the fuse of a circuit, without one that of its supply"),
            "most_power": ("W", "limit at that voltage"),
            "most_current": ("A", "limit at that voltage"),
            "within": (ONE, "whether the numbers are within the limits"),
            "wet_contact": (ONE, "whether the voltage is at most 30 V, the limit of wet contact"),
            "split": (ONE, "what would bring it within, and what that changes"),
        },
    ),
    "faults": (
        "A dead short at every joint and far end, lights left out; where several fuses feed it, until the last has opened",
        {
            "id": (ONE, "joint, far end of a cable, or last prop"),
            "supply": (ONE, "supply that feeds it"),
            "fuse": (ONE, "fuse that decides: the last to open or one that need not, a dash where there is none"),
            "loop": ("ohm", "resistance of the loop, supply included"),
            "current": ("A", "current of the short before anything opens"),
            "current_fuse": ("A", "current through that fuse"),
            "current_lasting": ("A", "current that stays on, as an effective value; 0 where fuses open"),
            "opens_after": ("s", "shortest time in which all fuses open; null where they need not"),
            "opens_within": ("s", "longest time in which all fuses open; null where they need not"),
            "outcome": (ONE, "`fuse opens`, `supply holds` or `not cleared`"),
            "hottest": (ONE, "cable part that gets hottest"),
            "temperature": ("°C", "how hot it gets, from 70 °C (an estimate)"),
            "smoulder_power": (
                "W",
                "most heat that a resistive fault there makes without opening anything (an estimate)",
            ),
            "smoulder_resistance": ("ohm", "resistance of that fault"),
        },
    ),
    "bill": (
        "Every part to buy",
        {
            "part": PART,
            "about": (ONE, "what it is"),
            "quantity": (ONE, "how many, or how many metres"),
            "unit": (ONE, "`piece` or `m`"),
            "price": ("currency", "price of one, null where unknown"),
            "total": ("currency", "price times quantity, null where unknown"),
        },
    ),
    "cost": (
        "Money and minutes in all",
        {
            "currency": (ONE, "what prices are in"),
            "parts": ("currency", "sum of the bill, without parts that have no price"),
            "minutes": ("min", "work in all (an estimate)"),
            "work": ("currency", "minutes times the stated worth of an hour"),
            "unpriced": (ONE, "parts that have no price"),
            "operations": (ONE, "the work, operation by operation"),
        },
    ),
    "cost.operations": (
        "The work, operation by operation",
        {
            "name": (ONE, "the operation"),
            "count": (ONE, "how many times"),
            "minutes": ("min", "minutes for all of them together"),
        },
    ),
    "joining": (
        "Spliced against plugged, for each string with spans",
        {
            "string": (ONE, "name of the string"),
            "spliced": (ONE, "what it takes spliced"),
            "plugged": (ONE, "what it takes plugged"),
        },
    ),
    "joining.spliced": (
        "One way of joining a string (`joining.plugged` has the same keys)",
        {
            "how": (ONE, "`spliced` or `plugged`"),
            "parts": (ONE, "the joint, and the cable or extension between"),
            "cost": ("currency", "spans and joints, null where a price is unknown"),
            "minutes": ("min", "cutting and joining"),
            "joints": (ONE, "contacts that can fail"),
            "drop": (
                "V",
                "lost in spans and joints at this plan's currents (an estimate); null without a steady state",
            ),
            "as_stated": (ONE, "whether the file has it this way"),
        },
    ),
    "solution": (
        "How well the circuit was solved",
        {
            "mean": (ONE, "at currents averaged over time"),
            "coincident": (ONE, "at the moment when all pulses coincide"),
        },
    ),
    "solution.mean": (
        "One operating point (`solution.coincident` has the same keys)",
        {
            "unsolved": (ONE, "separate pieces of the circuit without a solution"),
            "steps": (ONE, "steps of the solver"),
            "charge_error": ("A", "largest sum of currents at a place that should be zero"),
            "energy_error": ("share", "power put in less power used, over power put in"),
        },
    ),
    "timings": (
        "How long each step took",
        {
            "load": ("s", "reading the file"),
            "expand": ("s", "turning counts into things"),
            "power": ("s", "voltages, currents and light"),
            "signal": ("s", "addresses and frame times"),
            "cost": ("s", "bill, minutes and joining"),
            "light": ("s", "light of each kind"),
            "match": ("s", "brightness of each kind at the file's levels"),
            "making": ("s", "holes, masses and steps of each kind"),
            "place": ("s", "places, spacing, hung strings"),
            "faults": ("s", "every short"),
            "mains": ("s", "mains circuits and Class 2"),
            "findings": ("s", "judging all of it"),
        },
    ),
    "nodes": (
        "Every node in data order: worst case, full white at the file's levels",
        {
            "id": (ONE, "string, prop and node"),
            "string": (ONE, "name of the string"),
            "prop": (ONE, "number of the prop along its string, from 1"),
            "index": (ONE, "place in the output's data chain, from 1"),
            "cell": (ONE, "number of its cell along the string, from 1"),
            "v_plus": ("V", "V+ at the node above the common V− terminal, averaged over time"),
            "v_minus": ("V", "V− at the node above the common V− terminal, averaged over time"),
            "v_coincident": ("V", "voltage across the node when all pulses coincide"),
            "current": ("A", "current that it draws, averaged over time"),
            "light": ("share", "light of its white over its nominal light"),
            "chromaticity_shift": ("u'v'", "distance of that white from the nominal one, CIE 1976"),
            "lightness": ("L*", "CIE 1976 lightness of the light that is left"),
            "universe": (ONE, "E1.31 universe of its cell"),
            "slot": (ONE, "first slot of its cell, 1 to 512"),
        },
    ),
    "cables": (
        "Every piece of cable; drop and loss are those of both conductors together",
        {
            "id": (ONE, "string and place; its label"),
            "part": PART,
            "length": ("m", "length as cut, drip loop included"),
            "resistance": ("ohm", "resistance of one of its conductors"),
            "current": ("A", "the larger of the currents in its two conductors"),
            "current_plus": ("A", "current in V+"),
            "current_minus": ("A", "current in V−"),
            "drop": ("V", "voltage lost in V+ and V− together"),
            "loss": ("W", "power lost in V+ and V− together"),
        },
    ),
    "joints": (
        "Every joint; drop and loss are those of V+ and V− together",
        {
            "id": (ONE, "string and place"),
            "part": PART,
            "current": ("A", "the larger of the currents in its two contacts"),
            "drop": ("V", "voltage lost in V+ and V− together"),
            "loss": ("W", "power lost in V+ and V− together"),
        },
    ),
    "cuts": (
        "The cut list; ready-made extensions are bought and not cut",
        {
            "id": (ONE, "string and place; its label"),
            "use": (ONE, "what the piece is for"),
            "part": PART,
            "length": ("m", "length as cut, drip loop included"),
            "drip_loop": ("m", "how much of that is the drip loop"),
        },
    ),
}
SAME = {"joining.plugged": "joining.spliced", "solution.coincident": "solution.mean"}


def found_keys(document: Mapping[str, Any]) -> dict[str, set[str]]:
    """Return the keys of every table in a document, by the table's path."""
    keys: dict[str, set[str]] = {}
    _gather(document, "", keys)
    return keys


def _gather(value: Any, path: str, keys: dict[str, set[str]]) -> None:
    if isinstance(value, Mapping):
        keys.setdefault(path, set()).update(value)
        for name, inner in value.items():
            _gather(inner, f"{path}.{name}".lstrip("."), keys)
    elif isinstance(value, list):
        for inner in value:
            _gather(inner, path, keys)
