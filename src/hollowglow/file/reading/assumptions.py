"""What the tool took for granted because the display file does not say."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from hollowglow.file.model.display import Controller, Display, Labour, Limits, String
from hollowglow.file.model.fields import Frozen
from hollowglow.file.model.kind import DEFAULT_CABLE, Kind, Shell
from hollowglow.file.model.mains_defaults import circuit_defaults, limit_defaults, season_defaults, side_defaults
from hollowglow.file.model.parts import DEFAULT_BEAM_DEG, DEFAULT_PWM_HZ, Light, Part
from hollowglow.file.model.setting import PERCENT
from hollowglow.file.model.site import Drawn
from hollowglow.file.model.storage import packing_defaults, spares_defaults
from hollowglow.file.model.tolerances import tolerance_defaults
from hollowglow.quantity.shown import a


@dataclass(frozen=True, slots=True)
class Assumption:
    """One default that was used: where it would be stated, its value, and what it means.

    Attributes:
        place: where: section and name of an entry and the key inside it, or two empty texts and a key of the top.
        value: what was taken.
        reason: what that means.
    """

    place: tuple[str, str, str]
    value: str
    reason: str

    @property
    def where(self) -> str:
        """Return the path of its key in the file, as in kinds.float.pigtail."""
        return ".".join(word for word in self.place if word)


@dataclass(frozen=True, slots=True)
class _Place:
    """A table of the file: an entry of a section, or neither at the top, and the path of the table inside it."""

    section: str = ""
    name: str = ""
    path: str = ""

    def inside(self, path: str) -> _Place:
        return _Place(self.section, self.name, f"{self.path}{path}.")

    def took(self, key: str, value: str, reason: str) -> Assumption:
        return Assumption((self.section, self.name, self.path + key), value, reason)


def assumptions(display: Display) -> Iterator[Assumption]:
    """Yield every default that this display leans on."""
    yield from _unsaid(
        display,
        _Place(),
        ambient=("20 degC", "conductor temperature for all resistances; colder wire loses less"),
        drip_loop=("0 mm", "stated lengths are lengths as cut, drip loops inside them"),
        viewing=(f"{display.viewing:g} m", "distance from which people look"),
        currency=(display.currency, "catalogue prices are typical; put your own into parts"),
    )
    yield from _places(display)
    yield from _limits(display.limits)
    for name, supply in display.supplies.items():
        if supply.resistance is None and supply.part is None:
            here = _Place("supplies", name)
            yield here.took("resistance", "0 ohm", "a supply that holds its voltage under load")
        yield from _unsaid(supply, _Place("supplies", name), **limit_defaults(supply))
        if display.states_mains:
            yield from _unsaid(supply, _Place("supplies", name), **side_defaults(supply))
    for name, circuit in display.mains.items():
        yield from _unsaid(circuit, _Place("mains", name), **circuit_defaults())
    if display.states_mains:
        yield from _unsaid(display.season, _Place().inside("season"), **season_defaults(display.season))
    for name, controller in display.controllers.items():
        yield from _controller(_Place("controllers", name), controller)
    for name, kind in display.kinds.items():
        yield from _kind(_Place("kinds", name), kind)
        if name not in display.levels:
            yield _Place("levels", name).took("", "100 %", "full brightness")
    for name, string in display.strings.items():
        yield from _string(_Place("strings", name), string)
    used = _used(display)
    for name, part in display.parts.items():
        if name in used:
            yield from _part(_Place("parts", name), part)
    yield from _labour(display.labour)
    yield from _unsaid(display.tolerances, _Place().inside("tolerances"), **tolerance_defaults(display.tolerances))


def feeding_assumptions(display: Display) -> Iterator[Assumption]:
    """Yield the defaults that planning feeds leans on beyond those of the plan."""
    feeding = display.feeding
    yield from _unsaid(
        feeding,
        _Place().inside("feeding"),
        detour=(_percent(feeding.detour), "added to the way along the string, because a feed does not run straight"),
        reserve=(f"{feeding.reserve:g} m", "added to each feed for its two ends"),
    )


def keeping_assumptions(display: Display) -> Iterator[Assumption]:
    """Yield the defaults that spares and packing lean on beyond those of the plan."""
    yield from _unsaid(display.spares, _Place().inside("spares"), **spares_defaults(display.spares))
    yield from _unsaid(display.packing, _Place().inside("packing"), **packing_defaults(display.packing))


def _unsaid(model: Frozen, here: _Place, **defaults: tuple[str, str]) -> Iterator[Assumption]:
    """Yield the defaults of the keys that a table does not state; each is (value, reason) by key."""
    for key, (value, reason) in defaults.items():
        if key not in model.model_fields_set:
            yield here.took(key, value, reason)


def _percent(share: float) -> str:
    return f"{100.0 * share:g} %"


def _places(display: Display) -> Iterator[Assumption]:
    """Yield what is taken for granted about places, where any are stated."""
    stated = [string for string in display.strings.values() if string.place is not None]
    if not stated:
        return
    here = _Place().inside("place")
    yield from _unsaid(display.place, here, plane=("wall", "places are across and up, as seen from the front"))
    runs = [
        run
        for s in stated
        for run in (s.lead.length, *(f.length for f in s.feeds), *((s.span and s.span.length) or ()))
    ]
    if any(isinstance(run, Drawn) for run in runs):
        yield from _unsaid(display.place, here, slack=("0 %", "drawn lengths are as long as the way between places"))


def _limits(limits: Limits) -> Iterator[Assumption]:
    yield from _unsaid(
        limits,
        _Place().inside("limits"),
        light_loss=(_percent(limits.light_loss), "loss of light that begins to show"),
        chromaticity_shift=(f"{limits.chromaticity_shift:g}", "shift of white in u'v' that begins to show"),
        lowest_voltage=("that of each light", "voltage below which a light is told to fail"),
        supply_load=(_percent(limits.supply_load), "continuous load of a supply"),
        fuse_load=(_percent(limits.fuse_load), "continuous current of a fuse"),
    )


def _controller(here: _Place, controller: Controller) -> Iterator[Assumption]:
    yield from _unsaid(
        controller,
        here,
        nodes_per_output=(f"{controller.nodes_per_output}", "nodes that one output drives"),
        rate=(f"{controller.rate:g} Hz", "frames a second that the show sends"),
        first_universe=(f"{controller.first_universe}", "E1.31 universe of its first slot"),
        universes=("all of E1.31", "it receives as many universes as its nodes need"),
        gangs=("false", "it cannot repeat a cell, so every node takes slots of its own"),
        each_output=(controller.each_output, "slots run on from one output to the next"),
        steps=("percent" if controller.steps == PERCENT else "255", "its brightness is set in whole percent"),
        curve=(str(controller.curve), "half the setting is half the duty"),
        orders=("that of the lights", "each output is told the order in which its lights take their colours"),
    )


def _kind(here: _Place, kind: Kind) -> Iterator[Assumption]:
    fill = kind.fill
    yield from _unsaid(fill, here.inside("fill"), count=("1", "one light in each prop"))
    if fill.count > 1:
        yield from _unsaid(
            fill,
            here.inside("fill"),
            gang=("true", "all lights of a prop show one colour"),
            wiring=("none", "all lights of a prop sit at one point of the cable"),
        )
    if fill.wiring is not None:
        yield from _cable(fill.wiring, here.inside("fill.wiring"), "wiring inside the prop of the usual cable")
    if kind.pigtail is None:
        yield here.took("pigtail", "none", "spans end inside the prop, no cable of its own counted")
    else:
        yield from _cable(kind.pigtail, here.inside("pigtail"), "pigtails of the usual cable")
    if kind.gland is not None:
        yield from _unsaid(kind.gland, here.inside("gland"), count=("1", "one gland in each prop"))
    if kind.shell is not None:
        yield from _shell(here, kind, kind.shell)


def _mm(length_m: float) -> str:
    return f"{1e3 * length_m:g} mm"


def _shell(here: _Place, kind: Kind, shell: Shell) -> Iterator[Assumption]:
    """Yield what is taken for granted about the light inside a shell and the holes in it."""
    through, back = shell.optics
    yield from _unsaid(
        shell,
        here.inside("shell"),
        transmittance=(f"{through:.2g}", "share of the light that the wall lets through, as milky plastic does"),
        reflectance=(f"{back:.2g}", "share of the light that the wall throws back inside, as milky plastic does"),
        tint=("none", "the wall does the same to every colour"),
        wall=(_mm(shell.wall_m), "thickness of the wall"),
        boss=("0 mm", "no moulded boss under the cable holes"),
        opening=("none", "everything goes in through the cut shell"),
    )
    if shell.switch is not None:
        yield from _unsaid(
            shell.switch,
            here.inside("shell.switch"),
            at=(shell.switch.at, "where the old switch sits"),
            depth=(_mm(shell.switch.depth), "how far the old switch reaches in"),
            sealed=("false", "rain can pass the old switch"),
        )
    fill = kind.fill
    yield from _unsaid(fill, here.inside("fill"), arrangement=("by count and carrier", "where the lights sit inside"))
    if fill.positions is None and fill.count == 1:
        yield from _unsaid(
            fill, here.inside("fill"), stand_off=(_mm(fill.stand_off), "height of the light over what it stands on")
        )
    if fill.positions is not None:
        yield from _unsaid(fill, here.inside("fill"), axes=("outward", "lights look away from the middle"))
    if kind.carrier is not None:
        yield from _unsaid(
            fill, here.inside("fill"), fit=(_mm(fill.fit), "a hole is this much wider than the light's body")
        )
        yield from _unsaid(
            kind.carrier,
            here.inside("carrier"),
            thickness=(_mm(kind.carrier.thickness), "thickness of the carrier"),
            above_base=("in the middle", "where the carrier sits along the axis"),
            reflectance=(f"{kind.carrier.reflectance:g}", "a white carrier"),
        )
    yield from _unsaid(kind, here, hangs=(kind.hangs, "which way up it hangs, and so where water runs to"))
    yield from _unsaid(
        kind.drain,
        here.inside("drain"),
        at=(kind.drain.at, "place of the hole that lets water out"),
        diameter=(_mm(kind.drain.diameter), "diameter of the drain"),
    )
    if kind.gland is not None:
        yield from _unsaid(kind.gland, here.inside("gland"), at=(kind.gland.at, "where the cable holes sit"))


def _cable(run: Frozen, here: _Place, reason: str) -> Iterator[Assumption]:
    yield from _unsaid(run, here, cable=(DEFAULT_CABLE, reason))


def _string(here: _Place, string: String) -> Iterator[Assumption]:
    yield from _cable(string.lead, here.inside("lead"), "a lead of the usual cable")
    yield from _unsaid(string.lead, here.inside("lead"), joint=("none", "the lead runs into the prop without a joint"))
    span = string.span
    if span is not None and span.extension is None and string.prop_count > 1:
        yield from _cable(span, here.inside("span"), "spans of the usual cable")
        yield from _unsaid(span, here.inside("span"), joint=("none", "spans run into the props without a joint"))
    yield from _unsaid(string, here, fuse=("none", "nothing protects the lead"))
    for i, feed in enumerate(string.feeds, 1):
        at = here.inside(f"feeds[{i}]")
        yield from _cable(feed, at, "a feed of the usual cable")
        yield from _unsaid(
            feed,
            at,
            joint=("none", "the feed runs into the prop without a joint"),
            fuse=("none", "nothing protects the feed"),
            cut=("false", "V+ of the span before it stays joined"),
        )


def _used(display: Display) -> set[str]:
    """Return the names of the parts that the display's kinds, strings and supplies use."""
    named: set[str | None] = {supply.part for supply in display.supplies.values()}
    for kind in display.kinds.values():
        named |= {kind.fill.light, kind.fill.wiring.cable if kind.fill.wiring else None}
        named |= {kind.pigtail.cable, kind.pigtail.plug} if kind.pigtail else set()
    for string in display.strings.values():
        named |= {string.lead.cable, string.lead.joint, string.fuse.part if string.fuse else None}
        if string.span is not None and string.span.extension is not None:
            named.add(string.span.extension)
        elif string.span is not None:
            named |= {string.span.cable or DEFAULT_CABLE, string.span.joint}
        for feed in string.feeds:
            named |= {feed.cable, feed.joint, feed.fuse.part if feed.fuse else None}
    ready = [display.parts[n].extension for n in named if n is not None]
    named |= {name for e in ready if e is not None for name in (e.cable, e.plug)}
    return {n for n in named if n is not None}


def _part(here: _Place, part: Part) -> Iterator[Assumption]:
    if part.light is not None:
        yield from _light(here.inside("light"), part.light)
    if part.cable is not None:
        cable = part.cable
        yield from _unsaid(cable, here.inside("cable"), cores=(f"{cable.cores}", "V+, data and V-"))
        if cable.resistance is None and cable.size is not None and cable.size.awg is not None:
            yield from _unsaid(cable, here.inside("cable"), strand=("stranded", "2 % more resistance than solid wire"))
        ampacity = (
            ("by its size", "continuous current that it may carry") if cable.size else ("none", "it is not checked")
        )
        yield from _unsaid(cable, here.inside("cable"), ampacity=ampacity)
    if part.joint is not None:
        sort = part.joint.sort
        yield from _unsaid(
            part.joint,
            here.inside("joint"),
            rating=("none", "its current is not checked"),
            sort=(sort, f"made by hand as {a(sort)}"),
        )
    for role, table in (("fuse", part.fuse), ("supply", part.supply)):
        if table is not None:
            yield from _unsaid(table, here.inside(role), resistance=("0 ohm", f"{a(role)} that loses nothing"))


def _light(here: _Place, light: Light) -> Iterator[Assumption]:
    yield from _unsaid(
        light,
        here,
        voltage=("that of the string's supply", "voltage at which its light counts as 100 %"),
        minimum=("by its load", "voltage below which it no longer does its full work"),
        order=("rgb" if light.colours == 3 else "rgbw", "order in which its driver chip takes its colours"),
        colour=("a typical light", "flux and colour of red, green and blue"),
        beam=(f"{DEFAULT_BEAM_DEG:g} deg", "full width of its beam at half intensity"),
        pwm=(
            f"{DEFAULT_PWM_HZ:g} Hz",
            "rate at which it is pulsed, the slowest in use; photographs expose for two periods",
        ),
    )
    yield from _unsaid(light.load, here.inside("load"), idle=("0 A", "current that it draws when dark"))
    yield from _unsaid(
        light.data,
        here.inside("data"),
        bit_time=(f"{light.data.bit_time * 1e6:g} us", "time of one data bit"),
        bits=("8 for each colour", "data bits that one node takes"),
        reset=(f"{light.data.reset * 1e6:g} us", "pause that latches a frame"),
    )


_WORK = {
    "open_shell": "opening and cleaning one shell",
    "fit_light": "fixing one light in its prop",
    "fit_gland": "drilling for one gland and closing it",
    "fit_pigtail": "preparing one pigtail",
    "fit_hook": "fixing one hook",
    "close_and_test": "closing and testing one prop",
    "cut_piece": "measuring and cutting one piece of cable",
    "splice": "making one splice of all cores",
    "plug": "mating one plug",
    "fit_plug": "wiring one half of a plug to its cable",
    "terminal": "making one terminal joint of all cores",
    "seal_end": "sealing the bare cable end of a string's last prop, core by core",
    "fit_fuse": "fitting one fuse with its holder: two joints of one core, a third of a splice each",
    "hang_prop": "hanging one prop",
    "run_feed": "laying and joining one feed",
}


def _labour(labour: Labour) -> Iterator[Assumption]:
    here = _Place().inside("labour")
    for key, work in _WORK.items():
        seconds = getattr(labour, key)
        value = f"{seconds / 60.0:g} min" if seconds >= 60.0 else f"{seconds:g} s"
        yield from _unsaid(labour, here, **{key: (value, f"{work} (an estimate)")})
    yield from _unsaid(labour, here, hour=("0", "price of an hour of work: your own time is free"))
