"""Findings about room: lights and carrier in the shell, webs between holes, seats of the glands."""

from __future__ import annotations

from collections.abc import Iterator

from hollowglow.analysis.edits import put
from hollowglow.analysis.prop.inside import patterns
from hollowglow.analysis.prop.inside.frame import FLAT
from hollowglow.analysis.prop.making.analyse import KindMaking
from hollowglow.analysis.prop.making.bores.holes import FaceHoles
from hollowglow.analysis.prop.making.bores.shell_holes import CLEARANCE_M, NUT_M, THREAD_LENGTH_M, CableHoles, Seat
from hollowglow.analysis.prop.making.fit import TOLERANCE_M
from hollowglow.analysis.prop.making.rounding import small_down, small_up
from hollowglow.file.text.commands import Put
from hollowglow.messages import Code, Finding, Mend
from hollowglow.messages.told import Fact, Facts
from hollowglow.quantity.quantities import Quantity, small

LIGHT_DOES_NOT_FIT = Code(
    "light-does-not-fit",
    "warn",
    "fill",
    "the measures of shell, carrier and light as stated",
    ("kind", "cause", "light", "across", "deep", "size", "number", "arrangement", "clashes", "face"),
)
CARRIER_DOES_NOT_FIT = Code(
    "carrier-does-not-fit",
    "warn",
    "fill",
    "the measures of shell and carrier as stated",
    ("kind", "cause", "carrier", "size", "opening"),
)
WEB_TOO_THIN = Code(
    "web-too-thin",
    "warn",
    "fill",
    "an estimate of our own: at least 2 mm and a quarter of the hole",
    ("kind", "face", "first", "second", "web", "least"),
)
GLAND_CLEARANCE = Code(
    "gland-clearance",
    "warn",
    "fill",
    "an estimate of our own: a hole 0.1 to 1 mm wider than the thread",
    ("gland", "hole", "more", "thread"),
)
GLAND_ROOM = Code(
    "gland-room",
    "warn",
    "fill",
    "an estimate of our own: flange and nut 1.5 thread diameters wide, 8 mm of thread, a nut of 4 mm",
    ("kind", "cause", "gland", "count", "place", "needs", "flange", "spacing", "inside", "has", "wall", "left", "nut"),
)
CODES = (LIGHT_DOES_NOT_FIT, CARRIER_DOES_NOT_FIT, WEB_TOO_THIN, GLAND_CLEARANCE, GLAND_ROOM)


def _of(code: Code, made: KindMaking, facts: Facts, mend: Mend) -> Finding:
    """Return a finding about a kind; of the code's facts those that do not belong to its cause are nothing."""
    return code.found((made.name,), {**dict.fromkeys(code.facts), **facts}, [mend])


def judge_room(made: KindMaking) -> Iterator[Finding]:
    """Yield the findings about room of one kind."""
    yield from _lights(made)
    yield from _carrier(made)
    yield from _webs(made)
    if made.cables is not None:
        yield from _clearance(made, made.cables)
        if made.cables.seat is not None:
            yield from _seat(made, made.cables, made.cables.seat)


def _lights(made: KindMaking) -> Iterator[Finding]:
    fit, size = made.fit, made.size
    body: dict[str, Fact] = {
        "kind": made.name,
        "light": made.kind.fill.light,
        "across": small(size.diameter_m),
        "deep": small(size.depth_m),
    }
    if fit.light_opening_m is not None and fit.light_opening_m < -TOLERANCE_M:
        opening = size.diameter_m + fit.light_opening_m
        facts = {**body, "cause": "opening", "size": small(opening)}
        wider = {"most": small_down(opening), "wider": small(-fit.light_opening_m)}
        edit = put(("kinds", made.name, "shell", "opening"), small(size.diameter_m))
        yield _of(LIGHT_DOES_NOT_FIT, made, facts, Mend("wider-opening", wider, (edit,)))
    room = fit.light_room_m if fit.light_room_m is not None else fit.front_room_m
    if room is not None and room < -TOLERANCE_M:
        number = fit.tightest if fit.light_room_m is not None else None
        arranged = {"number": number, "arrangement": made.placed.arrangement}
        facts = {**body, "cause": "wall", "size": small(-room), **arranged}
        yield _of(LIGHT_DOES_NOT_FIT, made, facts, Mend("inward", {"inward": small_up(-room)}))
    if fit.clashes:
        facts = {**body, "cause": "clash", "clashes": fit.clashes}
        apart = {"apart": small_up(size.diameter_m), "between": small_up(2.0 * size.depth_m)}
        yield _of(LIGHT_DOES_NOT_FIT, made, facts, Mend("apart", apart))
    yield from _on_carrier(made, body)


def _on_carrier(made: KindMaking, body: Facts) -> Iterator[Finding]:
    """Yield a finding for each face that is narrower than a light on it."""
    if made.carrier is None:
        return
    for template in made.carrier.templates:
        face, wide = template.face, made.size.diameter_m
        if not template.drilled and face.name != "rim" and min(face.width_m, face.height_m) < wide - TOLERANCE_M:
            narrow = min(face.width_m, face.height_m)
            facts = {**body, "cause": "face", "size": small(narrow), "face": face.name}
            wider = {"wide": small_up(wide), "most": small_down(narrow)}
            yield _of(LIGHT_DOES_NOT_FIT, made, facts, Mend("wider-face", wider))


def _carrier(made: KindMaking) -> Iterator[Finding]:
    fit, carrier, shell = made.fit, made.kind.carrier, made.kind.shell
    if carrier is None:
        return
    facts: dict[str, Fact] = {"kind": made.name, "carrier": carrier.shape}
    if fit.carrier_room_m is not None and fit.carrier_room_m < -TOLERANCE_M:
        frame = made.frame
        turn = frame is not None and not frame.turned and carrier.shape in ("plate", "box")
        smaller: dict[str, Fact] = {"smaller": small_up(-2.0 * fit.carrier_room_m), "turn": turn}
        found = {**facts, "cause": "wall", "size": small(-fit.carrier_room_m)}
        yield _of(CARRIER_DOES_NOT_FIT, made, found, Mend("smaller", smaller))
    if fit.carrier_opening_m is not None and fit.carrier_opening_m < -TOLERANCE_M:
        assert shell is not None
        assert shell.opening is not None
        wanted = small(shell.opening - fit.carrier_opening_m)
        found = {**facts, "cause": "opening", "size": wanted, "opening": small(shell.opening)}
        path = ("kinds", made.name, "carrier", "diameter")
        edits = (put(path, small_down(shell.opening)),) if carrier.shape == "disc" else ()
        narrower = {"narrower": small_up(-fit.carrier_opening_m)}
        yield _of(CARRIER_DOES_NOT_FIT, made, found, Mend("narrower", narrower, edits))


def _webs(made: KindMaking) -> Iterator[Finding]:
    carrier = made.carrier
    if carrier is None:
        return
    thin = [t for t in carrier.templates if t.web is not None and t.web.width_m < carrier.least_web_m - 1e-9]
    # The two faces of a sheet share their holes, so their webs are told once.
    told: set[tuple[int, int | None]] = set()
    for template in thin:
        web = template.web
        assert web is not None
        if (web.first, web.second) in told:
            continue
        told.add((web.first, web.second))
        yield _web(made, template, carrier.least_web_m)


def _web(made: KindMaking, template: FaceHoles, least_m: float) -> Finding:
    web = template.web
    assert web is not None
    lights = len(template.holes)
    facts: dict[str, Fact] = {"face": template.face.name, "first": web.first, "second": web.second}
    widths = {"web": small(web.width_m), "least": small_up(least_m)}
    shape, sizes = _larger(made, template, least_m)
    carrier = made.kind.carrier
    edits: tuple[Put, ...] = ()
    if shape == "round" and carrier is not None and carrier.shape == "disc":
        edits = (put(("kinds", made.name, "carrier", "diameter"), sizes[0]),)
    larger = Mend("larger-face", {"lights": lights, "shape": shape, "sizes": sizes}, edits)
    return _of(WEB_TOO_THIN, made, {"kind": made.name, **facts, **widths}, larger)


def _larger(made: KindMaking, template: FaceHoles, least_m: float) -> tuple[str, tuple[Quantity, ...]]:
    """Return the outline of a face and how large it would have to be for the pattern that its lights have."""
    face = template.face
    assert made.carrier is not None
    assert made.carrier.bore is not None
    count = sum(len(t.holes) for t in made.carrier.templates) if face.through else len(template.holes)
    hole = made.carrier.bore.diameter_m
    if face.outline == "rim":
        return face.outline, ()
    if face.outline == "round":
        return face.outline, (small_up(patterns.least_round_m(count, hole, least_m)),)
    sides = patterns.least_rectangle_m(count, face.width_m, face.height_m, hole, least_m)
    wanted = (max(a, b) for a, b in zip(sides, (face.width_m, face.height_m), strict=True))
    return face.outline, tuple(small(side) for side in wanted)


def _clearance(made: KindMaking, cables: CableHoles) -> Iterator[Finding]:
    low, high = CLEARANCE_M
    if cables.clearance_m is None or low - 1e-9 <= cables.clearance_m <= high + 1e-9:
        return
    assert cables.hole_m is not None
    assert cables.gland is not None
    thread = cables.hole_m - cables.clearance_m
    facts: dict[str, Fact] = {"gland": cables.gland, "hole": small(cables.hole_m), "more": small(cables.clearance_m)}
    hole = small(thread + (low if cables.clearance_m < low else high))
    edits = (put(("parts", cables.gland, "gland", "hole"), hole),)
    drill = Mend("drill", {"low": small(thread + low), "high": small(thread + high)}, edits)
    yield _of(GLAND_CLEARANCE, made, {**facts, "thread": small(thread)}, drill)


def _seat(made: KindMaking, cables: CableHoles, seat: Seat) -> Iterator[Finding]:
    facts: dict[str, Fact] = {"kind": made.name, "gland": cables.gland, "count": cables.count, "place": cables.place}
    if seat.hollow_m >= FLAT or seat.needs_m > seat.has_m + TOLERANCE_M:
        pointed = seat.hollow_m >= FLAT and seat.has_m < seat.flange_m
        widths = {"needs": small(seat.needs_m), "flange": small(seat.flange_m), "spacing": small(seat.spacing_m)}
        inside = small(seat.keep_out_m) if seat.keep_out_m > 0.0 else None
        has = None if pointed else small(seat.has_m)
        found = {**facts, "cause": "seat", **widths, "inside": inside, "has": has}
        yield _of(GLAND_ROOM, made, found, Mend("move-gland"))
    if seat.thread_left_m < NUT_M - 1e-9:
        left = small(max(0.0, seat.thread_left_m))
        wall = {"wall": small(THREAD_LENGTH_M - seat.thread_left_m), "left": left, "nut": small(NUT_M)}
        edits = (put(("kinds", made.name, "shell", "wall"), small(THREAD_LENGTH_M - NUT_M)),)
        thinner = Mend("thinner-wall", {"thinner": small_up(NUT_M - seat.thread_left_m)}, edits)
        yield _of(GLAND_ROOM, made, {**facts, "cause": "thread", **wall}, thinner)
