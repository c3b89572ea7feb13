"""How one prop of a kind is built: the steps in order, each with its parts, its tools and its minutes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from hollowglow.analysis.prop.inside.frame import FLAT, ShellFrame
from hollowglow.analysis.prop.making.bores.holes import CarrierHoles
from hollowglow.analysis.prop.making.bores.shell_holes import RING_TAKES_M, CableHoles
from hollowglow.analysis.prop.making.drain import DrainHole, OldSwitch
from hollowglow.analysis.prop.making.mass import Weight
from hollowglow.file.model.display import Labour
from hollowglow.file.model.kind import Kind
from hollowglow.messages.told import Phrase, Pick
from hollowglow.quantity.quantities import small
from hollowglow.quantity.words import several

SECONDS_A_MINUTE = 60.0


@dataclass(frozen=True, slots=True)
class BuildStep:
    """One step at the bench.

    Attributes:
        name: what is done.
        how: with which numbers, told for whoever reads.
        parts: what is built in.
        tools: what is needed.
        minutes: from the display's labour (estimates); None where the time is part of another step's.
    """

    name: str
    how: Phrase
    parts: tuple[str, ...]
    tools: tuple[str, ...]
    minutes: float | None


@dataclass(frozen=True)
class Made:
    """What is known of a kind when its steps are written."""

    name: str
    kind: Kind
    frame: ShellFrame | None
    carrier: CarrierHoles | None
    cables: CableHoles | None
    drain: DrainHole
    switch: OldSwitch | None
    weight: Weight


_SLOW = (
    "Safety glasses on, the piece clamped on scrap wood. A step drill, slowly: plastic cracks and melts when hurried."
)


def steps(made: Made, labour: Labour) -> Iterator[BuildStep]:
    """Yield the steps of one prop in order.

    Args:
        made: what is known of its kind.
        labour: seconds of each operation. Drilling for the glands and fixing them is one operation, and so are closing
            and testing.
    """
    yield from _empty(made, labour)
    yield from _carrier(made)
    if made.kind.shell is not None:
        yield from _shell(made, labour)
    yield from _inside(made, labour)
    yield from _close(made, labour)


def _minutes(seconds: float) -> float:
    return seconds / SECONDS_A_MINUTE


def _empty(made: Made, labour: Labour) -> Iterator[BuildStep]:
    shell = made.kind.shell
    yield BuildStep(
        "open", "Open the shell at its cap or seam and clean it.", (), ("plastic wedge",), _minutes(labour.open_shell)
    )
    if shell is not None and shell.batteries is not None:
        yield BuildStep(
            "empty",
            f"Take out the {shell.batteries.count} {shell.batteries.size} cells (recycle them) and the old board.",
            (),
            ("screwdriver", "side cutters"),
            None,
        )
    if made.switch is not None:
        if made.switch.stays:
            yield BuildStep(
                "old switch", "Cut its wires; it stays and closes its opening.", (), ("side cutters",), None
            )
        else:
            how = ("Take it out and close its opening with a plug of ", small(made.switch.plug_m), " and sealant.")
            yield BuildStep("old switch", how, ("plug", "sealant"), ("side cutters",), None)


def _carrier(made: Made) -> Iterator[BuildStep]:
    holes = made.carrier
    if holes is None:
        return
    faces = [t.face.name for t in holes.templates]
    if not faces:
        return
    yield BuildStep(
        "mark out the carrier",
        f"Fix a template on face {several(faces, len(faces))}, punch each centre.",
        ("carrier",),
        ("template", "tape", "centre punch"),
        None,
    )
    bored = [t for t in holes.templates if t.drilled]
    if bored and holes.bore is not None:
        count = sum(len(t.holes) for t in bored)
        one_by_one = "" if len(bored) == 1 else " Each face on its own, from its own template."
        yield BuildStep(
            "drill the carrier",
            (
                f"{count} {_hole(count)} of ",
                small(holes.bore.diameter_m),
                ": drill ",
                Pick(holes.bore.metric.name, holes.bore.inch.name),
                f".{one_by_one} {_SLOW} Try a light in the first hole.",
            ),
            (),
            ("drill", f"step drill to {holes.bore.metric.name}", "clamp", "safety glasses", "deburring tool"),
            None,
        )


def _hole(count: int) -> str:
    return "hole" if count == 1 else "holes"


def _shell(made: Made, labour: Labour) -> Iterator[BuildStep]:
    cables, drain = made.cables, made.drain
    if cables is not None and cables.hole_m is not None and cables.metric is not None and cables.inch is not None:
        ring = cables.seat.ring_m if cables.seat is not None and cables.place != "side" else 0.0
        apart = (", ", small(ring), " from its middle") if ring > 0.0 else ()
        yield BuildStep(
            "drill the cable holes",
            (
                f"{cables.count} {_hole(cables.count)} of ",
                small(cables.hole_m),
                f" at the {cables.place}",
                *apart,
                ": drill ",
                Pick(cables.metric.name, cables.inch.name),
                f". {_SLOW}",
            ),
            (),
            ("drill", f"step drill to {cables.metric.name}", "clamp", "safety glasses", "deburring tool"),
            None,
        )
    if cables is not None and cables.seat is not None:
        seat = cables.seat
        if seat.hollow_m > RING_TAKES_M and seat.hollow_m < FLAT:
            bends = ("The place bends away by ", small(seat.hollow_m), f" under the flange: {seat.treatment}.")
            yield BuildStep("make a flat seat", bends, ("soft washer",), ("flat file",), None)
        if seat.boss_m > 0.0:
            over = (" down to the wall over ", small(seat.flange_m), " round each hole, so that the nut lies flat.")
            down = ("Inside, take the raised area of ", small(seat.boss_m), *over)
            yield BuildStep("remove the raised area", down, (), ("rotary tool", "safety glasses", "dust mask"), None)
    if cables is not None and cables.gland is not None:
        yield BuildStep(
            "fit the glands",
            f"{cables.count} x {cables.gland}, seal ring outside, nut inside, hand-tight and a quarter turn.",
            (f"{cables.count} x {cables.gland}",),
            ("two spanners",),
            _minutes(labour.fit_gland * cables.count),
        )
    if drain.place is not None:
        aside = (", ", small(drain.beside_m), " beside the middle to clear the cable holes") if drain.beside_m else ()
        size = (small(drain.diameter_m), f" at the {drain.place}", *aside)
        how = ("One hole of ", *size, ": drill ", Pick(drain.metric.name, drain.inch.name), ".")
        yield BuildStep("drill the drain", how, (), ("drill", f"drill {drain.metric.name}", "safety glasses"), None)


def _inside(made: Made, labour: Labour) -> Iterator[BuildStep]:
    fill, pigtail = made.kind.fill, made.kind.pigtail
    wires = () if fill.wiring is None or fill.count == 1 else (fill.wiring.cable,)
    push = (
        "Push the lights into their bores"
        if made.carrier is not None and made.carrier.bore is not None
        else "Fix the lights"
    )
    glue = " and secure each with a drop of neutral silicone" if fill.count > 1 or made.carrier is None else ""
    yield BuildStep(
        "fit and wire the lights",
        f"{push}{glue}; the data runs from light to light in the order of their numbers.",
        (f"{fill.count} x {fill.light}", *wires),
        ("soldering iron", "heat gun", "stripper"),
        _minutes(labour.fit_light * fill.count),
    )
    if pigtail is not None:
        yield BuildStep(
            "fit the pigtails",
            "Lead both pigtails in, mark IN and OUT, join them to the first and the last light, and fix each inside with a "
            "cable tie so that a pull does not reach the joints.",
            (f"2 x {pigtail.cable}", "2 x cable-tie", *(() if pigtail.plug is None else (f"2 x {pigtail.plug}",))),
            ("stripper", "soldering iron", "heat gun"),
            _minutes(labour.fit_pigtail * 2),
        )
    yield BuildStep(
        "test on the bench",
        "Before closing: full red, green, blue and white from a fused supply, then pull and bend each cable.",
        (),
        ("bench supply with a fuse", "controller", "multimeter"),
        None,
    )


def _close(made: Made, labour: Labour) -> Iterator[BuildStep]:
    by_hand = made.cables is not None and made.cables.gland is None
    seal = (
        " Seal the cable holes with neutral silicone, inside and out."
        if by_hand
        else " Tighten the glands on the cables."
    )
    yield BuildStep(
        "close and seal",
        f"Close the shell and seal its seam, not its drain.{seal if made.cables is not None else ''} Test once more.",
        ("sealant-silicone",),
        ("caulking gun",),
        _minutes(labour.close_and_test),
    )
    weight = made.weight
    if weight.hook is not None:
        how = f"Hang it by {weight.hook}"
        if weight.metal_wanted:
            how = f"Do not trust the moulded loop: bolt a metal hook through the shell instead of {weight.hook}"
        yield BuildStep("fix the hook", f"{how}.", (weight.hook,), ("pliers",), _minutes(labour.fit_hook))
    yield BuildStep(
        "label", f"Write {made.name}, its number, and IN and OUT on the cables.", ("label",), ("marker",), None
    )
