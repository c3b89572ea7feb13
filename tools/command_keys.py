"""The keys of the JSON documents of commands other than plan: found in real ones, explained here."""

from __future__ import annotations

from collections.abc import Mapping

from tools.json_keys import JSON_KEYS, ONE

Tables = Mapping[str, tuple[str, Mapping[str, tuple[str, str]]]]

_FINDING = {
    "code": (ONE, "which finding; [findings.md](findings.md) explains it"),
    "severity": (ONE, "`stop`, `warn` or `note`"),
    "message": (ONE, "what was found, with numbers"),
}
_CHANCE = {
    "within": (ONE, "samples within the limit"),
    "samples": (ONE, "samples in all"),
    "share": ("share", "their ratio"),
    "low": ("share", "lower end of its 95 % interval"),
    "high": ("share", "upper end of its 95 % interval"),
}
_SPREAD = {
    "p5": (ONE, "5th percentile over the samples, null where none came to rest"),
    "p50": (ONE, "median"),
    "p95": (ONE, "95th percentile"),
}
_THING = {
    "name": (ONE, "its name or id"),
    "load_fraction": ("share", "its load over its rating, over the samples"),
    "chance": (ONE, "to stay within its limit"),
}
_DRAW = {
    "now": (ONE, "at the levels of the file"),
    "matched": (ONE, "at the levels that match"),
    "full": (ONE, "with all levels at 100 %"),
}

MATCH: Tables = {
    "": (
        "Levels that match. While photographs still want labels, `photographs` is the only key",
        {
            "display": (ONE, "name of the display"),
            "by": (ONE, "`luminance`, `intensity` or `view`"),
            "share": ("share", "share of the dimmest kind at full; null where a luminance was asked for"),
            "viewing": ("m", "distance of the viewer"),
            "target": ("cd/m²", "brightness that every kind was to reach; by intensity cd"),
            "white": (ONE, "CIE 1931 x, y that every kind was to show"),
            "reference": (ONE, "the kind that is the dimmest at full"),
            "levels": (ONE, "a level for each kind"),
            "left_out": (ONE, "kinds that do not take part"),
            "settled": (ONE, "whether the levels came to rest"),
            "rounds": (ONE, "how often the circuit was solved for that"),
            "moved": ("share", "by how much a level still moved in the last round"),
            "unsolved": (ONE, "kinds without a steady voltage, taken at their nominal one"),
            "power": ("W", "what the supplies deliver at full white"),
            "current": ("A", "what the supplies deliver at full white, added up"),
            "saved": (ONE, "by the levels that match, against those of the file"),
            "photographs": (ONE, "what photographs show; null where there were none"),
        },
    ),
    "levels": (
        "A level for each kind; a row has all keys of [levels](#levels) of the plan, and",
        {
            **JSON_KEYS["levels"][1],
            "surface": ("share", "how much the eye sees of it as a surface and not as a point"),
            "too_dim": (ONE, "whether it cannot reach the target at full"),
            "white_reached": (ONE, "whether its colours can mix the white"),
        },
    ),
    "levels.settings": JSON_KEYS["levels.settings"],
    "left_out": (
        "Kinds that do not take part",
        {"kind": (ONE, "name of the kind"), "reason": (ONE, "why not")},
    ),
    "power": ("What the supplies deliver, W (`current` has the same keys, A)", _DRAW),
    "current": ("What the supplies deliver, A", _DRAW),
    "saved": (
        "Saved by the levels that match",
        {"power": ("W", "less power"), "current": ("A", "less current")},
    ),
    "photographs": (
        "What photographs show, on one relative scale",
        {
            "props": (ONE, "the lit props, as they are numbered in the picture"),
            "cautions": (ONE, "why this may not be trusted"),
            "kinds": (ONE, "the kinds that props were labelled with; not there without labels"),
            "outliers": (ONE, "props that are off from others of their kind; not there without labels"),
            "intensities_by": (
                ONE,
                "what makes intensities of unlike kinds comparable: `size` or `distance`; null where nothing does; not there "
                "without labels",
            ),
        },
    ),
    "photographs.props": (
        "The lit props",
        {
            "number": (ONE, "its number in the picture"),
            "kind": (ONE, "the kind that it was labelled with; null without"),
            "photographs": (ONE, "the photographs that it is in"),
            "row": (ONE, "pixels from the top to its middle"),
            "column": (ONE, "pixels from the left to its middle"),
            "area": (ONE, "pixels inside its outline"),
            "luminance": (ONE, "light over area, relative"),
            "intensity": (ONE, "light in all, relative; compares props equally far away"),
            "uv": ("u'v'", "its colour, CIE 1976"),
            "trouble": (ONE, "why it was not measured, empty where it was"),
        },
    ),
    "photographs.cautions": (
        "Why photographs may not be trusted",
        {
            "code": (ONE, "which caution"),
            "where": (ONE, "photographs or props"),
            "message": (ONE, "what was found"),
            "mend": (ONE, "a way out"),
        },
    ),
    "photographs.kinds": (
        "The kinds in photographs",
        {
            "kind": (ONE, "name of the kind"),
            "numbers": (ONE, "its props"),
            "luminance": (ONE, "mean of its props, relative, outliers left out"),
            "intensity": (ONE, "the same of their intensity, as were all equally far away where distances were stated"),
            "intensity_by_size": ("m2", "luminance times the area that its shell shows; null where it states none"),
            "duties": ("share", "of each colour, as it was set according to the person"),
            "full_luminance": (ONE, "luminance at full and nominal voltage, as it is kept"),
            "full_intensity": (ONE, "the same of the intensity that compares with other kinds; null where none does"),
            "uv": ("u'v'", "its colour"),
            "by_colour": (ONE, "luminance of red, green and blue that mix to that; null where that cannot be told"),
            "spread": ("share", "standard deviation of luminance between its props"),
            "intensity_spread": ("share", "the same of intensity"),
        },
    ),
    "photographs.outliers": (
        "Props that are off from others of their kind",
        {
            "number": (ONE, "its number"),
            "kind": (ONE, "its kind"),
            "off": ("share", "its light over that of the others, less 1"),
            "message": (ONE, "the same in words"),
        },
    ),
}

FILL: Tables = {
    "": (
        "What could go inside a kind",
        {
            "kind": (ONE, "name of the kind"),
            "viewing": ("m", "distance of the viewer"),
            "currency": (ONE, "what costs are in"),
            "matched_by": (ONE, "`luminance` or `intensity`, whichever counts at that distance"),
            "weights": (ONE, "what counts how much"),
            "why": (ONE, "why the first is the first"),
            "candidates": (ONE, "best first"),
            "left_out": (ONE, "what does not fit"),
        },
    ),
    "weights": (
        "What counts how much",
        {
            "light": ("share", "light that leaves"),
            "uniformity": ("share", "uniformity, and no hot spots"),
            "cost": ("share", "money"),
            "work": ("share", "minutes"),
        },
    ),
    "candidates": (
        "Candidates; light of one prop at full white, level 100 % and nominal voltage",
        {
            "candidate": (ONE, "in words"),
            "light": (ONE, "light part"),
            "count": (ONE, "how many of them"),
            "arrangement": (ONE, "how they sit"),
            "now": (ONE, "whether the file has it so"),
            "score": (ONE, "weighted sum, 0 to 1"),
            "beaten_by": (ONE, "a candidate that is better in everything; null without"),
            "flux_out": ("lm", "light that leaves the shell"),
            "mean_luminance": ("cd/m²", "averaged over the wall"),
            "intensity": ("cd", "towards viewers at its own height"),
            "uniformity": (ONE, "lowest over mean luminance"),
            "hot_spot": (ONE, "highest over mean luminance less 1, as the eye sees it"),
            "power": ("W", "of one prop at its nominal voltage"),
            "nodes": (ONE, "driver chips of one prop"),
            "cells": (ONE, "cells of one prop"),
            "chain_nodes": (ONE, "driver chips of the longest chain with this kind"),
            "frame_time": ("s", "of the slowest output with this kind"),
            "chain_fits": (ONE, "whether all these outputs allow that"),
            "cost": ("currency", "parts of one prop"),
            "cost_of_all": ("currency", "of all props of the kind"),
            "minutes": ("min", "work for one prop (an estimate)"),
            "minutes_of_all": ("min", "for all props of the kind (an estimate)"),
            "level": ("share", "level that matches the dimmest other kind; null where it is dimmer or there is none"),
            "settled": (ONE, "whether its figures stood still"),
        },
    ),
    "left_out": (
        "What does not fit",
        {"candidate": (ONE, "in words"), "reason": (ONE, "why not")},
    ),
}

FEED: Tables = {
    "": (
        "How to feed every string",
        {
            "display": (ONE, "name of the display"),
            "currency": (ONE, "what prices are in"),
            "meets": (ONE, "whether every string is within its limits and every supply has room"),
            "written": (ONE, "whether the file was written"),
            "assumptions": (ONE, "what is assumed beyond the plan"),
            "strings": (ONE, "string by string"),
            "supplies": (ONE, "what the supplies then deliver"),
            "findings": (ONE, "what is then still wrong with the display"),
            "edits": (ONE, "what is to be changed in the file"),
        },
    ),
    "assumptions": JSON_KEYS["assumptions"],
    "strings": (
        "String by string",
        {
            "string": (ONE, "name of the string"),
            "meets": (ONE, "whether it is then within its limits"),
            "as_stated": (ONE, "whether it stays as the file has it"),
            "proven": (ONE, "whether nothing cheaper exists"),
            "price": ("currency", "parts that are added"),
            "minutes": ("min", "work that is added (an estimate)"),
            "total": ("currency", "parts and the worth of the work"),
            "bound": ("currency", "no plan costs less; null where none meets the limits"),
            "cut_bound": ("currency", "no plan with cut feeds alone costs less; null where not asked"),
            "short": ("V", "what the lowest voltage still lacks"),
            "lead": (ONE, "how it begins"),
            "feeds": (ONE, "where power is brought in again"),
            "before": (ONE, "how it stands in the file"),
            "after": (ONE, "how it stands then"),
            "alternatives": (ONE, "what could be done instead"),
        },
    ),
    "strings.lead": (
        "How a string begins",
        {"supply": (ONE, "its supply"), "cable": (ONE, "cable of its lead"), "fuse": (ONE, "its fuse; null without")},
    ),
    "strings.feeds": (
        "Where power is brought in again",
        {
            "before": (ONE, "number of the prop"),
            "supply": (ONE, "supply"),
            "cable": (ONE, "cable"),
            "length": ("m", "of the cable (an estimate)"),
            "joint": (ONE, "joint; null without"),
            "fuse": (ONE, "fuse; null without"),
            "cut": (ONE, "whether V+ is opened before it"),
            "price": ("currency", "parts; null for one that the file has already"),
            "minutes": ("min", "work (an estimate); null for one that the file has already"),
        },
    ),
    "strings.before": (
        "How a string stands (`after` has the same keys)",
        {
            "voltage": ("V", "lowest across a light when all pulses coincide; null without a steady state"),
            "light": ("share", "least light that is left of a light"),
            "shift": ("Δu'v'", "greatest chromaticity shift"),
            "findings": (ONE, "what is wrong with it"),
        },
    ),
    "strings.before.findings": ("What is wrong with a string", _FINDING),
    "strings.alternatives": (
        "What could be done instead",
        {
            "way": (ONE, "`heavier cable`, `higher voltage` or `lower level`"),
            "what": (ONE, "in words"),
            "price": ("currency", "parts; null where it is not known"),
            "minutes": ("min", "work (an estimate); null where it is not known"),
            "meets": (ONE, "whether the string is then within its limits"),
            "findings": (ONE, "what remains"),
        },
    ),
    "strings.alternatives.findings": ("What remains", _FINDING),
    "supplies": (
        "What the supplies then deliver",
        {
            "supply": (ONE, "name of the supply"),
            "power": ("W", "at full white"),
            "rating": ("W", "its rating"),
            "needed": ("W", "the rating that it would take; null where it has room"),
        },
    ),
    "findings": ("What is then still wrong", _FINDING),
    "edits": (
        "What is to be changed; `put` sets `value` at `path`, `remove` takes `path` out",
        {
            "do": (ONE, "`put` or `remove`"),
            "path": (ONE, "keys on the way to the place, places in lists from 0"),
            "value": (ONE, "what stands there then, as the file states it"),
        },
    ),
}

TOLERANCE: Tables = {
    "": (
        "How surely a display stays within its limits",
        {
            "display": (ONE, "name of the display"),
            "hollowglow": (ONE, "version"),
            "tolerances": (ONE, "how far parts stray, as in [the file](words.md), in the units that it has inside"),
            "chance": (ONE, "that everything stays within its limits"),
            "strings": (ONE, "string by string"),
            "supplies": (ONE, "supply by supply"),
            "fuses": (ONE, "fuse by fuse"),
            "solved_alone": (ONE, "samples that the full solver had to take"),
            "unsolved": (ONE, "samples without exactly one steady state; they count as outside"),
        },
    ),
    "chance": ("A chance", _CHANCE),
    "strings": (
        "String by string",
        {
            "name": (ONE, "name of the string"),
            "chance": (ONE, "to stay within every limit of its own"),
            "lowest_voltage": (ONE, "to stay within this limit alone"),
            "light_loss": (ONE, "to stay within this limit alone"),
            "chromaticity_shift": (ONE, "to stay within this limit alone"),
            "fuse_load": (ONE, "to stay within this limit alone"),
            "lowest_v": ("V", "lowest voltage across a light, all pulses together"),
            "light": ("share", "least light that the cable leaves of a light"),
            "greatest_shift": ("Δu'v'", "greatest chromaticity shift"),
            "dimmest": ("share", "light of the dimmest node, what lights differ by included, over the nominal one"),
            "influences": (ONE, "parts that matter, the strongest first"),
            "by_sort": (ONE, "rank correlation of all parts of one sort taken together"),
            "dark": (ONE, "places of lights that no V+ reaches"),
        },
    ),
    "strings.chance": ("A chance", _CHANCE),
    "strings.lowest_voltage": ("A chance", _CHANCE),
    "strings.light_loss": ("A chance", _CHANCE),
    "strings.chromaticity_shift": ("A chance", _CHANCE),
    "strings.fuse_load": ("A chance", _CHANCE),
    "strings.lowest_v": ("Percentiles", _SPREAD),
    "strings.light": ("Percentiles", _SPREAD),
    "strings.greatest_shift": ("Percentiles", _SPREAD),
    "strings.dimmest": ("Percentiles", _SPREAD),
    "strings.influences": (
        "Parts that matter",
        {
            "what": (ONE, "its id"),
            "sort": (ONE, "`joint`, `cable`, `light`, `supply` or `temperature`"),
            "correlation": (ONE, "Spearman's rank correlation with the lowest voltage of the string"),
        },
    ),
    "strings.by_sort": (
        "Rank correlation of all parts of one sort",
        {
            sort: (ONE, f"of {words}")
            for sort, words in (
                ("supply", "the supplies"),
                ("temperature", "the temperature"),
                ("cable", "the cables, by their drop"),
                ("joint", "the joints, by their drop"),
                ("light", "the lights"),
            )
        },
    ),
    "supplies": ("Supply by supply", _THING),
    "supplies.load_fraction": ("Percentiles", _SPREAD),
    "supplies.chance": ("A chance", _CHANCE),
    "fuses": ("Fuse by fuse", _THING),
    "fuses.load_fraction": ("Percentiles", _SPREAD),
    "fuses.chance": ("A chance", _CHANCE),
}

CHARACTERISE: Tables = {
    "": (
        "The current-voltage characteristic of a light from readings",
        {
            "hollowglow": (ONE, "version"),
            "part": (ONE, "name of the light part"),
            "characteristic": (
                ONE,
                "the characteristic that fits best: `constant-current`, `resistor` or `constant-power`",
            ),
            "stated_characteristic": (ONE, "the characteristic that the file or the catalogue states"),
            "sure": (ONE, "whether the readings tell that characteristic from the others"),
            "parameters": (ONE, "the parameters of the characteristic"),
            "characteristics": (ONE, "how well each characteristic fits"),
            "worst": (ONE, "the reading that fits worst"),
            "load": (ONE, "the characteristic as [the file](words.md) states it"),
            "readings": (ONE, "what was read"),
        },
    ),
    "parameters": (
        "The parameters of the characteristic",
        {
            "key": (ONE, "its key in the file"),
            "colour": (ONE, "colour, empty where it belongs to the light"),
            "unit": (ONE, "unit of the values"),
            "value": (ONE, "what it is"),
            "low": (ONE, "lower 95 % limit, null where the readings are too few"),
            "high": (ONE, "upper 95 % limit, null where the readings are too few"),
            "catalogue": (ONE, "what the file or the catalogue said; null where that is another characteristic"),
            "source": (ONE, "`measured`, `catalogue` or `assumed`"),
        },
    ),
    "characteristics": (
        "How well each characteristic fits",
        {
            "characteristic": (ONE, "name of the characteristic"),
            "miss_a": ("A", "greatest miss of a reading"),
            "behind": (ONE, "corrected Akaike criterion less that of the best"),
            "possible": (ONE, "whether the readings leave it possible"),
        },
    ),
    "worst": (
        "The reading that fits worst",
        {"reading": (ONE, "as typed"), "miss": ("A", "how far the characteristic is from it")},
    ),
    "readings": (
        "What was read, of one light",
        {
            "volts": ("V", "voltage at the light"),
            "channel": (ONE, "what was fully on"),
            "amps": ("A", "current of one light"),
            "where": (ONE, "which reading or line"),
        },
    ),
}

ANALYSE: Tables = {
    "": (
        "What a captured show drew",
        {
            "display": (ONE, "name of the display"),
            "hollowglow": (ONE, "version that made this"),
            "started": ("s", "when the capture begins, since 1970 (UTC)"),
            "packets": (ONE, "packets by what became of them"),
            "notes": (ONE, "what a person should know of the capture, in sentences"),
            "seconds": ("s", "how long the show was"),
            "frames": (ONE, "moments at which slots changed or were sent again"),
            "distinct": (ONE, "different frames among them"),
            "things": (ONE, "every supply, then every fuse, then every string"),
            "peak_w": ("W", "highest power of all supplies together"),
            "mean_w": ("W", "mean power of all supplies together, over time"),
            "energy_wh": ("Wh", "energy from all supplies together"),
            "edges_w": ("W", "histogram of the power of all supplies together: edges of its bins"),
            "time_share": ("share", "histogram: share of the time in each bin"),
            "worst": (ONE, "the ten worst moments, at least a second apart, the worst first"),
            "over_share": ("share", "share of the time over any limit"),
            "collapsed_share": ("share", "share of the time in which drivers of some string could not all run for sure"),
            "level": ("%", "of today's levels that would have kept all limits; 100 where they were kept, null where none does"),
            "light_lost": ("share", "share of all light that voltage took"),
        },
    ),
    "packets": (
        "Packets of the display's universes",
        {
            "lost": (ONE, "missing by their sequence numbers"),
            "late": (ONE, "discarded because a later one had come"),
            "discarded": (ONE, "late ones and repeated ones"),
            "malformed": (ONE, "no E1.31 packets"),
            "elsewhere": (ONE, "of universes that the display does not use"),
        },
    ),
    "things": (
        "What one supply, fuse, cable, joint, mains circuit or string drew",
        {
            "id": (ONE, "its id; `mains/` before the name of a mains circuit"),
            "sort": (ONE, "`supply`, `fuse`, `cable`, `joint`, `mains` or `string`; cables and joints where some "
                          "frame could overload them"),
            "peak_a": ("A", "highest current"),
            "mean_a": ("A", "mean current over time"),
            "peak_w": ("W", "highest power: of a supply before its own resistance, of a fuse, cable or joint what goes "
                            "through it, of a mains circuit what its supplies take, of a string that of its lights"),
            "mean_w": ("W", "mean power over time"),
            "peak_at_s": ("s", "when the current was highest, after the start"),
            "energy_wh": ("Wh", "energy"),
            "allowed_a": ("A", "what the limits of the file allow; null for a string"),
            "over_share": ("share", "share of the time above that; null for a string"),
            "level": ("%", "of today's levels that would have kept it within; null where none does, or without a limit"),
            "lowest_v": ("V", "lowest voltage across a light of a string, averaged over the pulses; null for others"),
            "lowest_at_s": ("s", "when that was"),
            "coincident_v": ("V", "lowest voltage for a moment, where all pulses of what is lit coincide; null for others"),
            "light_lost": ("share", "share of a string's light that voltage took; null for others"),
        },
    ),
    "worst": (
        "One of the worst moments",
        {
            "at_s": ("s", "when, after the start"),
            "id": (ONE, "what was nearest to its limit, or farthest over it"),
            "current_a": ("A", "what it carried; null without a steady state"),
            "of_allowed": ("share", "that over what is allowed"),
            "power_w": ("W", "power of all supplies then"),
        },
    ),
}  # fmt: skip

WALK: Tables = {
    "": (
        "What walks have left open",
        {
            "display": (ONE, "name of the display"),
            "answers": (ONE, "how many answers there are"),
            "open": (ONE, "answers that nothing has closed yet"),
            "meanings": (ONE, "what they mean, the gravest first"),
            "unseen": (ONE, "props that nobody has looked at one by one"),
        },
    ),
    "open": (
        "An open answer",
        {
            "id": (ONE, "its own id"),
            "at": (ONE, "when, ISO 8601, UTC"),
            "step": (ONE, "sort of step that was shown"),
            "target": (ONE, "what was lit"),
            "answer": (ONE, "`lit`, `dark`, `wrong colour`, `flickers`, `dim` or `out of order`"),
            "seen": (ONE, "colours seen in a colour check"),
            "note": (ONE, "anything more"),
        },
    ),
    "meanings": (
        "What answers mean",
        {
            "where": (ONE, "ids that it is about"),
            "says": (ONE, "what is likely"),
            "measure": (ONE, "what to measure next"),
            "lowest_v": ("V", "lowest voltage to expect there; null where none is to be measured"),
            "highest_v": ("V", "highest voltage to expect there"),
            "answers": (ONE, "ids of the answers behind it"),
        },
    ),
}

COMMAND_KEYS: Mapping[str, Tables] = {
    "match": MATCH, "fill": FILL, "feed": FEED, "tolerance": TOLERANCE, "characterise": CHARACTERISE,
    "analyse": ANALYSE, "walk --report": WALK,
}  # fmt: skip
# Tables whose keys are those of the display file, and tables with the keys of another one.
AS_IN_FILE = {"feed": {"edits.value"}, "tolerance": {"tolerances"}, "characterise": {"load"}}
SAME_KEYS = {
    "feed": {"strings.after": "strings.before", "strings.after.findings": "strings.before.findings"},
}


def told_once(tables: Tables) -> dict[str, tuple[str, list[str], Mapping[str, tuple[str, str]]]]:
    """Return tables by the first path that has their keys, with every path that has the same."""
    made: dict[str, tuple[str, list[str], Mapping[str, tuple[str, str]]]] = {}
    for path, (about, keys) in tables.items():
        first = next((p for p, (words, _, known) in made.items() if known is keys and words == about), None)
        if first is None:
            made[path] = (about, [path], keys)
        else:
            made[first][1].append(path)
    return made
