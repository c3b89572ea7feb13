"""What the tool took for granted because the display file does not say."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from strandwright.display.model import DEFAULT_CABLE, Display


@dataclass(frozen=True, slots=True)
class Assumption:
    """One default that was used: where it would be stated, its value, and what it means."""

    where: str
    value: str
    reason: str


def assumptions(display: Display) -> Iterator[Assumption]:
    """Yield every default that this display leans on."""
    said = display.model_fields_set
    if "ambient" not in said:
        yield Assumption("ambient", "20 degC", "conductor temperature for all resistances; colder wire loses less")
    if "drip_loop" not in said:
        yield Assumption("drip_loop", "0 mm", "stated lengths are lengths as cut, drip loops inside them")
    if "currency" not in said:
        yield Assumption("currency", display.currency, "catalogue prices are typical; put your own into parts")
    yield from _limits(display)
    if not display.labour.model_fields_set:
        yield Assumption(
            "labour", "minutes of a practised pair of hands", "an estimate; measure one prop and state yours"
        )
    for name, supply in display.supplies.items():
        if supply.resistance is None and supply.part is None:
            yield Assumption(f"supplies.{name}.resistance", "0 ohm", "a supply that holds its voltage under load")
    for name, controller in display.controllers.items():
        stated = controller.model_fields_set
        here = f"controllers.{name}"
        if "nodes_per_output" not in stated:
            yield Assumption(f"{here}.nodes_per_output", "600", "nodes that one output drives")
        if "rate" not in stated:
            yield Assumption(f"{here}.rate", "40 Hz", "frames a second that the show sends")
        if "first_universe" not in stated:
            yield Assumption(f"{here}.first_universe", "1", "E1.31 universe of its first slot")
        if "gangs" not in stated:
            yield Assumption(f"{here}.gangs", "false", "it cannot repeat a cell, so every node takes slots of its own")
    yield from _kinds(display)
    yield from _strings(display)


def _limits(display: Display) -> Iterator[Assumption]:
    limits = display.limits
    words = {
        "light_loss": (f"{limits.light_loss:.0%}".replace("%", " %"), "loss of light that begins to show"),
        "colour_shift": (f"{limits.colour_shift:g}", "shift of white in u'v' that begins to show"),
        "supply_load": (f"{limits.supply_load:.0%}".replace("%", " %"), "continuous load of a supply"),
        "fuse_load": (f"{limits.fuse_load:.0%}".replace("%", " %"), "continuous current of a fuse"),
    }
    for key, (value, reason) in words.items():
        if key not in limits.model_fields_set:
            yield Assumption(f"limits.{key}", value, reason)


def _kinds(display: Display) -> Iterator[Assumption]:
    for name, kind in display.kinds.items():
        here = f"kinds.{name}"
        if "count" not in kind.fill.model_fields_set:
            yield Assumption(f"{here}.fill.count", "1", "one light in each prop")
        if kind.fill.count > 1 and "gang" not in kind.fill.model_fields_set:
            yield Assumption(f"{here}.fill.gang", "true", "all lights of a prop show one colour")
        if kind.pigtail is None:
            yield Assumption(f"{here}.pigtail", "none", "spans end inside the prop, no cable of its own counted")
        elif "cable" not in kind.pigtail.model_fields_set:
            yield Assumption(f"{here}.pigtail.cable", DEFAULT_CABLE, "pigtails of the usual cable")
        if name not in display.levels:
            yield Assumption(f"levels.{name}", "100 %", "full brightness")
        light = display.parts[kind.fill.light].light
        if light is not None and light.voltage is None:
            yield Assumption(
                f"parts.{kind.fill.light}.light.voltage",
                "that of the string's supply",
                "voltage at which its light counts as 100 %",
            )
        if light is not None and light.colour is None:
            yield Assumption(
                f"parts.{kind.fill.light}.light.colour",
                "a typical light",
                "flux and colour of red, green and blue",
            )


def _strings(display: Display) -> Iterator[Assumption]:
    for name, string in display.strings.items():
        here = f"strings.{name}"
        if "cable" not in string.lead.model_fields_set:
            yield Assumption(f"{here}.lead.cable", DEFAULT_CABLE, "a lead of the usual cable")
        span = string.span
        if span is not None and span.extension is None and string.prop_count > 1:
            if span.cable is None:
                yield Assumption(f"{here}.span.cable", DEFAULT_CABLE, "spans of the usual cable")
            if span.joint is None:
                yield Assumption(f"{here}.span.joint", "none", "spans run into the props without a joint")
        for i, feed in enumerate(string.feeds, 1):
            if "cable" not in feed.model_fields_set:
                yield Assumption(f"{here}.feeds[{i}].cable", DEFAULT_CABLE, "a feed of the usual cable")
