"""The keys of a display file: found in the models, explained here."""

from __future__ import annotations

import types
import typing
from collections.abc import Iterator, Mapping
from typing import Any

from pydantic import BaseModel

from hollowglow.file import Display

ONE = "-"  # text, a count, or yes and no
ABOUT = (ONE, "what it is, in the builder's own words")
PRICE = ("currency", "price of one piece")
CABLE = (ONE, "name of a cable part; `cable-3x18awg` where none is stated")
FUSE = (ONE, "a fuse in V+ at the supply end: a rating such as `5 A`, or a fuse part")

# Table of the file -> (what it is, key -> (unit inside, meaning)). NAME stands for a name that the builder chooses.
FILE_KEYS: Mapping[str, tuple[str, Mapping[str, tuple[str, str]]]] = {
    "": (
        "The top of the file",
        {
            "display": (ONE, "name of the display; the only key that every file needs"),
            "about": ABOUT,
            "ambient": ("°C", "conductor temperature at which resistances count"),
            "currency": (ONE, "what prices are in"),
            "drip_loop": ("m", "cable added to each lead, span and feed so that rain drips off before the gland"),
            "viewing": ("m", "distance from which people look"),
            "place": (ONE, "the plane that places are measured in, and the picture behind it"),
            "supplies": (ONE, "the power supplies by name"),
            "mains": (ONE, "the mains circuits by name"),
            "season": (ONE, "how long the display is lit, and what a kilowatt-hour costs"),
            "controllers": (ONE, "the controllers by name"),
            "parts": (ONE, "own parts by name; one of a catalogue part's name is laid over it"),
            "kinds": (ONE, "the kinds by name"),
            "strings": (ONE, "the strings by name"),
            "levels": (ONE, "the level of each kind in percent; 100 % where none is stated"),
            "trims": (ONE, "by kind, a factor from 0 to 1 for each colour under its level; 1 where none is stated"),
            "limits": (ONE, "where findings begin"),
            "feeding": (ONE, "how long a feed is where planning has to guess"),
            "labour": (ONE, "how long each operation takes"),
            "tolerances": (ONE, "how far real parts stray from what is stated"),
            "spares": (ONE, "the chance that spares shall last, and what fails in a season"),
            "packing": (ONE, "the boxes that the display is stored in"),
        },
    ),
    "supplies.NAME": (
        "One supply: an ideal source behind a resistance, all V− common",
        {
            "part": (ONE, "the catalogue supply that it is; what is stated beside it counts before the part's"),
            "voltage": ("V", "voltage without load"),
            "rating": ("W", "power that it may deliver for hours"),
            "resistance": ("ohm", "output resistance, in V+"),
            "limit": (ONE, "what it does in a short: `hiccup`, `constant` or `foldback`"),
            "limit_current": ("A", "current above which it limits; 130 % of its rated current where none is stated"),
            "limit_at_zero": ("share", "of a foldback limit: what still flows at 0 V, over `limit_current`"),
            "limit_on": ("s", "of a hiccup limit: how long each try lasts"),
            "limit_off": ("s", "of a hiccup limit: the pause between two tries"),
            "circuit": (ONE, "the mains circuit that it stands on"),
            "efficiency": ("share", "power delivered over power taken from the mains"),
            "power_factor": ("share", "its power factor"),
            "leakage": ("A", "what it leaks to earth all the time"),
            "inrush": (
                "A",
                "peak current when it is switched on cold; 0.25 A a volt of its circuit where none is stated",
            ),
            "price": PRICE,
            "at": ("m", "where it is"),
        },
    ),
    "mains.NAME": (
        "One mains circuit; its wiring is a licensed electrician's",
        {
            "about": ABOUT,
            "voltage": ("V", "mains voltage"),
            "breaker": ("A", "rating of its breaker"),
            "curve": (
                ONE,
                "`B`, `C` or `D`: from 3, 5 or 10 times its rating the breaker may open at once (IEC 60898-1)",
            ),
            "rcd": ("A", "rating of its residual-current device, such as `6 mA` or `30 mA`"),
        },
    ),
    "season": (
        "How long the display is lit, and what that costs",
        {
            "nights": (ONE, "how many nights"),
            "hours": ("s", "time of each night, such as `5 h`"),
            "average": ("share", "power of the show over that of full white at the file's levels"),
            "price_per_kwh": ("currency", "price of a kilowatt-hour"),
        },
    ),
    "controllers.NAME": (
        "One controller and the limits of its outputs",
        {
            "outputs": (ONE, "how many outputs it has"),
            "nodes_per_output": (ONE, "how many nodes one output can drive"),
            "rate": ("Hz", "frames a second that the show sends"),
            "first_universe": (ONE, "E1.31 universe of its first slot"),
            "universes": (ONE, "how many universes it can receive"),
            "gangs": (ONE, "whether it can repeat one cell's colour over ganged nodes"),
            "each_output": (ONE, "where an output's addresses begin: `next slot` or `new universe`"),
            "steps": (ONE, "in what its brightness is set: `percent` or `255`"),
            "curve": (ONE, "what duty a setting gives: `linear`, or a power like `gamma 2.2`"),
            "orders": (
                ONE,
                "by number of an output, the order of colours that it is told, like `{1: grb}`; that of its lights if unsaid",
            ),
            "price": PRICE,
            "at": ("m", "where it is"),
        },
    ),
    "parts.NAME": (
        "One part; it says exactly one of the roles from `light` to `consumable`",
        {
            "about": ABOUT,
            "price": ("currency", "price of one piece, of one metre for a cable"),
            "mass": ("kg", "mass of one piece, of one metre for a cable"),
            "failures": (
                "share",
                "share of them that fails in a season; that of its sort in `spares` where none is stated",
            ),
            "basis": (ONE, "where its numbers come from: `typical`, `standard` or `measured`, also key by key"),
            "source": (ONE, "the standard or the practice behind its numbers"),
            "light": (ONE, "it is a light"),
            "cable": (ONE, "it is a cable by the metre"),
            "joint": (ONE, "it is a joint"),
            "extension": (ONE, "it is a ready-made cable with a plug at each end"),
            "fuse": (ONE, "it is a fuse, with its holder"),
            "supply": (ONE, "it is a supply"),
            "gland": (ONE, "it is a cable gland"),
            "hook": (ONE, "it is something to hang a prop by"),
            "consumable": (ONE, "it is only counted"),
        },
    ),
    "parts.NAME.light": (
        "A light: one driver chip, one node",
        {
            "emitters": (ONE, "LED packages behind the driver"),
            "load": (ONE, "what it draws at which voltage; its `class` says by which law"),
            "voltage": ("V", "nominal voltage, at which its light counts as 100 %"),
            "minimum": ("V", "voltage below which it no longer does its full work; by its law where none is stated"),
            "data": (ONE, "how it is clocked"),
            "order": (ONE, "the order in which the driver chip takes its colours, like `grb`"),
            "colour": (ONE, "the light of each colour at its full current"),
            "diameter": ("m", "diameter of its hole or board"),
            "depth": ("m", "depth behind its face"),
            "beam": ("degree", "full angle at half intensity"),
            "pwm": ("Hz", "rate at which its driver pulses the LEDs; photographs must expose for two periods of it"),
        },
    ),
    "parts.NAME.light.load (constant-current)": (
        "A linear current sink for each colour",
        {
            "class": (ONE, "`constant-current`"),
            "current": ("A", "full current of each colour"),
            "turn_on": ("V", "voltage at which each colour starts"),
            "saturation": ("V", "further voltage at which a colour is fully on"),
            "idle": ("A", "current of the driver chip itself, drawn whenever there is voltage"),
        },
    ),
    "parts.NAME.light.load (resistor)": (
        "LEDs in series behind a resistor",
        {
            "class": (ONE, "`resistor`"),
            "series": (ONE, "LEDs in one chain"),
            "parallel": (ONE, "chains side by side"),
            "forward": ("V", "forward voltage of one LED of each colour"),
            "resistor": ("ohm", "resistor of one chain of each colour"),
            "idle": ("A", "current of the driver chip itself, drawn whenever there is voltage"),
        },
    ),
    "parts.NAME.light.load (constant-power)": (
        "A switching driver of constant power",
        {
            "class": (ONE, "`constant-power`"),
            "power": ("W", "power of each colour delivered to the LEDs"),
            "efficiency": ("share", "power to the LEDs over power drawn"),
            "cutoff": ("V", "voltage below which the driver is off"),
            "idle": ("A", "current of the driver chip itself, drawn whenever there is voltage"),
        },
    ),
    "parts.NAME.light.data": (
        "How a driver chip is clocked",
        {
            "bit_time": ("s", "time of one bit"),
            "bits": (ONE, "data bits that one node takes; 8 for each colour where none are stated"),
            "reset": ("s", "pause that latches a frame"),
        },
    ),
    "parts.NAME.light.colour": (
        "The light of each colour at its full current",
        {"flux": ("lm", "luminous flux of each colour"), "xy": (ONE, "CIE 1931 chromaticity of each colour")},
    ),
    "parts.NAME.cable": (
        "A cable by the metre; `size` or `resistance` decides what it loses",
        {
            "cores": (ONE, "conductors"),
            "size": (ONE, "conductor size such as `18 AWG` or `0.75 mm2`"),
            "resistance": ("ohm/m", "resistance of one conductor at 20 °C; counts before that of the size"),
            "strand": (ONE, "`stranded` or `solid`"),
            "ampacity": ("A", "current that it may carry for hours; that of its size where none is stated"),
            "diameter": ("m", "outer diameter"),
        },
    ),
    "parts.NAME.joint": (
        "A joint: anything with contact resistance",
        {
            "resistance": ("ohm", "resistance of one core through one joint, in V+ and in V− alike"),
            "rating": ("A", "current that it may carry for hours"),
            "sort": (ONE, "`splice`, `plug` or `terminal`"),
            "mating": (ONE, "the shape that a plug fits; plugs of the same shape fit each other"),
        },
    ),
    "parts.NAME.extension": (
        "A ready-made cable with a plug at each end",
        {
            "cable": (ONE, "name of the cable part that it is made of"),
            "length": ("m", "its length from plug to plug"),
            "plug": (ONE, "name of the joint part at both its ends"),
        },
    ),
    "parts.NAME.fuse": (
        "A fuse with its holder",
        {"rating": ("A", "rated current"), "resistance": ("ohm", "cold resistance, in V+")},
    ),
    "parts.NAME.supply": (
        "A supply of the catalogue",
        {
            "voltage": ("V", "voltage without load"),
            "rating": ("W", "power that it may deliver for hours"),
            "resistance": ("ohm", "output resistance, in V+"),
        },
    ),
    "parts.NAME.gland": (
        "A cable gland",
        {
            "thread": (ONE, "name of its thread"),
            "clamp": ("m", "least and greatest cable diameter that it holds"),
            "hole": ("m", "diameter of the hole that it needs"),
            "thread_diameter": ("m", "outer diameter of the thread"),
            "pitch": ("m", "pitch of the thread"),
        },
    ),
    "parts.NAME.hook": (
        "Something to hang a prop by",
        {"holds": ("kg", "mass that it holds"), "metal": (ONE, "whether it is of metal")},
    ),
    "parts.NAME.consumable": ("A part that is only counted", {"unit": (ONE, "what one of it is called")}),
    "kinds.NAME": (
        "One kind: a recipe for a prop",
        {
            "about": ABOUT,
            "shell": (ONE, "the hollow translucent body"),
            "carrier": (ONE, "what the lights mount on inside the shell"),
            "fill": (ONE, "the lights inside"),
            "hangs": (
                ONE,
                "which way up it hangs: `tip down`, `tip up` or `on its side`; the base is the tip's other end",
            ),
            "pigtail": (ONE, "the cable that leaves the prop, one in and one out"),
            "gland": (ONE, "the glands in its cable holes"),
            "drain": (ONE, "the hole that lets water out"),
            "hook": (ONE, "name of the hook part that it hangs by"),
        },
    ),
    "kinds.NAME.shell": (
        "A shell",
        {
            "shape": (ONE, "`sphere`, `cylinder`, `cone`, `lathe` or `box`"),
            "diameter": ("m", "outer diameter"),
            "height": ("m", "outer height"),
            "width": ("m", "outer width of a box"),
            "depth": ("m", "outer depth of a box"),
            "profile": ("m", "pairs of radius and height along a lathe's outline"),
            "transmittance": ("share", "light that the wall lets through"),
            "reflectance": ("share", "light that the wall throws back inside"),
            "tint": ("share", "for each colour, what the wall lets through and throws back of it beside those shares"),
            "wall": ("m", "thickness of the wall"),
            "opening": ("m", "diameter of the opening through which lights and carrier must go"),
            "boss": ("m", "height of a moulded boss inside, under the cable holes"),
            "switch": (ONE, "the old switch"),
            "batteries": (ONE, "the battery cells that it is sold with, such as `3 * AA`"),
            "price": PRICE,
            "mass": ("kg", "mass of one empty shell, without cells"),
        },
    ),
    "kinds.NAME.shell.switch": (
        "The old switch of a prop",
        {
            "diameter": ("m", "diameter of its opening"),
            "at": (ONE, "where it sits: `base`, `side` or `tip`"),
            "depth": ("m", "how far it reaches into the shell"),
            "sealed": (ONE, "whether it keeps rain out"),
        },
    ),
    "kinds.NAME.carrier": (
        "A carrier",
        {
            "shape": (ONE, "`disc` across the axis, `plate` or `box` along it, or closed `tube` around it"),
            "diameter": ("m", "diameter of a disc or tube"),
            "width": ("m", "width of a plate or box, across the axis"),
            "depth": ("m", "depth of a box, across the axis and its width"),
            "height": ("m", "height of a plate, box or tube along the axis"),
            "thickness": ("m", "thickness of a disc or plate, or of the wall of a box or tube"),
            "above_base": ("m", "height of its lower end above the base"),
            "reflectance": ("share", "light that it throws back"),
            "price": PRICE,
            "mass": ("kg", "mass of one piece"),
        },
    ),
    "kinds.NAME.fill": (
        "A fill: one module, or several single lights",
        {
            "light": (ONE, "name of the light part"),
            "count": (ONE, "how many of it"),
            "gang": (ONE, "whether they show one colour together"),
            "wiring": (ONE, "the cable between neighbouring lights inside"),
            "arrangement": (
                ONE,
                "where they sit: `stand-off`, `one face`, `two faces`, `ring`, `up a tube` or `by hand`",
            ),
            "stand_off": ("m", "height of a single light over what it stands on"),
            "fit": ("m", "by how much a hole in the carrier is wider than the light's body"),
            "positions": ("m", "for each light, [x, y, z] from the middle of the base, z towards the tip"),
            "axes": (ONE, "for each light, the direction in which it looks"),
        },
    ),
    "kinds.NAME.fill.wiring": (
        "Cable between neighbouring lights inside one prop",
        {"cable": CABLE, "length": ("m", "length of one piece")},
    ),
    "kinds.NAME.pigtail": (
        "A pigtail",
        {
            "cable": CABLE,
            "length": ("m", "length of each of the two"),
            "plug": (ONE, "name of the joint part whose half sits at its end"),
        },
    ),
    "kinds.NAME.gland": (
        "The glands of one prop",
        {
            "part": (ONE, "name of the gland part"),
            "count": (ONE, "how many of it"),
            "at": (ONE, "where they sit: `base`, `side` or `tip`"),
        },
    ),
    "kinds.NAME.drain": (
        "The drain of one prop",
        {
            "at": (ONE, "`lowest`, `base`, `side`, `tip`, or `none`"),
            "diameter": ("m", "its diameter"),
        },
    ),
    "strings.NAME": (
        "One string: props on one data line, in data order",
        {
            "about": ABOUT,
            "output": (ONE, "controller and output number, such as `box/1`"),
            "supply": (ONE, "name of the supply at its lead; none where only feeds bring power"),
            "props": (ONE, "its props in order: `12 * float`, or a list"),
            "lead": (ONE, "the cable from the output to the first prop"),
            "span": (ONE, "the cable between neighbours"),
            "fuse": FUSE,
            "feeds": (ONE, "power brought in elsewhere"),
            "place": (ONE, "how its props are set out"),
        },
    ),
    "strings.NAME.lead": (
        "A lead",
        {
            "cable": CABLE,
            "length": ("m", "length, its drip loop not included; or `drawn`"),
            "joint": (ONE, "name of the joint part at the first prop"),
        },
    ),
    "strings.NAME.span": (
        "The spans: by the metre with a joint at each end, or ready-made",
        {
            "cable": CABLE,
            "length": (
                "m",
                "length of every span, or a list with one for each; drip loops not included; or `drawn`, or `straight`",
            ),
            "joint": (ONE, "name of the joint part at both ends"),
            "extension": (ONE, "name of the extension part; then none of the others is stated"),
        },
    ),
    "strings.NAME.feeds[]": (
        "A feed",
        {
            "before": (ONE, "number of the prop at whose in-pigtail it joins, counted from 1"),
            "supply": (ONE, "name of the supply that it comes from"),
            "cable": CABLE,
            "length": ("m", "length, its drip loop not included; or `drawn`"),
            "joint": (ONE, "name of the joint part where it joins"),
            "fuse": FUSE,
            "cut": (ONE, "whether V+ of the span before that prop is open; V− never is"),
        },
    ),
    "strings.NAME.place": (
        "How the props of a string are set out: along a line, or each at a point of its own",
        {
            "line": (
                "m",
                "the points of a line, each `[across, up]`; on a plan `[across, ahead]`; a third length if it is known",
            ),
            "pitch": ("m", "distance between neighbours along the line; spread evenly over it where none is stated"),
            "start": ("m", "distance from the beginning of the line to the first prop"),
            "points": ("m", "instead of a line: one point for each prop"),
            "moved": (ONE, "props that sit elsewhere"),
            "sag": (
                "m",
                "how far the longest stretch between two points of the line, which are hooks then, hangs down",
            ),
            "hook": (ONE, "name of the hook part at each point of a line that sags"),
        },
    ),
    "strings.NAME.place.moved[]": (
        "A prop that sits elsewhere than the line would have it",
        {"prop": (ONE, "its number, counted from 1"), "at": ("m", "where it is")},
    ),
    "place": (
        "What places are measured in",
        {
            "plane": (ONE, "`wall` (seen from the front: across, up) or `plan` (seen from above: across, ahead)"),
            "slack": ("share", "how much longer a drawn length is than the way between places"),
            "backdrop": (ONE, "a photograph or plan behind the drawing"),
        },
    ),
    "place.backdrop": (
        "A picture, and what makes its pixels lengths: two points, or the corners of a rectangle on the wall",
        {
            "picture": (ONE, "its file, seen from the display file"),
            "points": ("pixel", "two points of it, each `[from the left, from the top]`; the first is the place 0, 0"),
            "length": ("m", "how far apart they are"),
            "corners": (
                "pixel",
                "bottom left, bottom right, top right and top left of a rectangle; the first is the place 0, 0",
            ),
            "width": ("m", "how wide the rectangle is"),
            "height": ("m", "how high the rectangle is"),
        },
    ),
    "limits": (
        "Where findings begin",
        {
            "light_loss": ("share", "loss of light"),
            "chromaticity_shift": ("u'v'", "shift of white in the CIE 1976 diagram"),
            "lowest_voltage": ("V", "voltage at a light; what each light needs where none is stated"),
            "supply_load": ("share", "load of a supply over its rating"),
            "fuse_load": ("share", "current of a fuse over its rating"),
        },
    ),
    "feeding": (
        "How much longer a feed is than the way along its string, used by `hollowglow feed` only",
        {
            "detour": ("share", "added to the way along lead and spans, because a feed does not run straight"),
            "reserve": ("m", "added to each feed for its two ends"),
        },
    ),
    "labour": (
        "How long one operation takes a practised pair of hands (estimates)",
        {
            "open_shell": ("s", "opening and cleaning one shell"),
            "fit_light": ("s", "fixing one light in its prop"),
            "fit_gland": ("s", "drilling for one gland and closing it"),
            "fit_pigtail": ("s", "preparing one pigtail"),
            "fit_hook": ("s", "fixing one hook"),
            "close_and_test": ("s", "closing and testing one prop"),
            "cut_piece": ("s", "measuring and cutting one piece of cable"),
            "splice": ("s", "making one splice of all cores"),
            "plug": ("s", "mating one plug"),
            "fit_plug": ("s", "wiring one half of a plug to its cable"),
            "terminal": ("s", "making one terminal joint of all cores"),
            "seal_end": ("s", "sealing the bare out end of a string's last prop, core by core"),
            "fit_fuse": ("s", "fitting one fuse with its holder into V+: two joints of one core"),
            "hang_prop": ("s", "hanging one prop"),
            "run_feed": ("s", "laying and joining one feed"),
            "hour": ("currency", "price of an hour of work"),
        },
    ),
    "tolerances": (
        "How far real parts stray, for `hollowglow tolerance`: 95 % of them lie within plus or minus this",
        {
            "light_current": ("share", "current of each light, all its colours alike; its idle current stays"),
            "light_flux": ("share", "light of each light at equal current; it changes no voltage"),
            "cable_resistance": ("share", "resistance of cable"),
            "cable_varies": (ONE, "`by the reel`: all pieces of a cable part alike, or `by the piece`"),
            "joint_resistance": (
                "share",
                "resistance of each contact of a joint, V+ and V− each by itself (lognormal)",
            ),
            "bad_joints": ("share", "share of contacts that have gone bad"),
            "bad_joint": ("ohm", "resistance of a contact that has gone bad"),
            "supply_voltage": ("share", "voltage of each supply without load"),
            "temperature": ("K", "conductor temperature, the same everywhere"),
            "samples": (ONE, "how many displays are sampled"),
            "seed": (ONE, "where the random numbers start; the same seed gives the same answer"),
        },
    ),
    "spares": (
        "Spares for a season: the chance that they last, and the share of each sort of thing that fails (estimates)",
        {
            "chance": ("share", "chance to finish the season without buying anything, all parts together"),
            "light": ("share", "share of the lights that fail in a season"),
            "cable": ("share", "share of the pieces of cable that fail"),
            "joint": ("share", "share of the joints that fail"),
            "extension": ("share", "share of the ready-made extensions that fail"),
            "fuse": ("share", "share of the fuses that open"),
            "supply": ("share", "share of the supplies that fail"),
            "controller": ("share", "share of the controllers that fail"),
            "shell": ("share", "share of the shells that break"),
            "carrier": ("share", "share of the carriers that break"),
            "gland": ("share", "share of the glands that fail"),
            "hook": ("share", "share of the hooks that fail"),
            "consumable": ("share", "share of the parts that are only counted"),
        },
    ),
    "packing": (
        "A storage box on the inside",
        {
            "width": ("m", "its longer side"),
            "depth": ("m", "its shorter side"),
            "height": ("m", "how high it may be filled"),
            "mass": ("kg", "what may lie in it"),
            "padding": ("m", "left around each thing"),
        },
    ),
}


def found_keys() -> dict[str, list[str]]:
    """Return the keys of every table of a display file as its models have them, by the table's path."""
    return dict(_walk(Display, ""))


def _walk(model: type[BaseModel], path: str) -> Iterator[tuple[str, list[str]]]:
    yield path, [f.alias or name for name, f in model.model_fields.items()]
    for name, field in model.model_fields.items():
        inner = list(_models(field.annotation))
        for below, steps in inner:
            here = f"{path}.{field.alias or name}".lstrip(".") + steps
            characteristic = below.model_fields.get("characteristic")
            yield from _walk(below, f"{here} ({characteristic.default})" if characteristic is not None else here)


def _models(annotation: Any) -> Iterator[tuple[type[BaseModel], str]]:
    """Yield every model that an annotation may hold, with the steps to it: .NAME through a table, [] through a list."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation, ""
        return
    origin, arguments = typing.get_origin(annotation), typing.get_args(annotation)
    if origin is typing.Annotated:
        yield from _models(arguments[0])
    elif origin is dict:
        yield from ((model, ".NAME" + steps) for model, steps in _models(arguments[1]))
    elif origin in (tuple, list):
        yield from ((model, "[]" + steps) for one in arguments for model, steps in _models(one))
    elif origin in (typing.Union, types.UnionType):
        for one in arguments:
            yield from _models(one)
