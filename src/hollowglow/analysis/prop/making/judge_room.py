"""Findings about room: lights and carrier in the shell, webs between holes, seats of the glands."""

from __future__ import annotations

from collections.abc import Iterator

from hollowglow.analysis.prop.inside import patterns
from hollowglow.analysis.prop.inside.frame import FLAT
from hollowglow.analysis.prop.making.analyse import KindMaking
from hollowglow.analysis.prop.making.bores.holes import FaceHoles
from hollowglow.analysis.prop.making.bores.shell_holes import CLEARANCE_M, NUT_M, THREAD_LENGTH_M, CableHoles, Seat
from hollowglow.analysis.prop.making.fit import TOLERANCE_M
from hollowglow.analysis.prop.making.words import small, small_down, small_up
from hollowglow.messages import Finding, finding
from hollowglow.quantity.words import several


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
    fit, size, light = made.fit, made.size, made.kind.fill.light
    body = f"{light}, {small(size.diameter_m)} across and {small(size.depth_m)} deep"
    if fit.light_opening_m is not None and fit.light_opening_m < -TOLERANCE_M:
        yield finding(
            "light-does-not-fit",
            (made.name,),
            f"{body}, does not pass the opening of {made.name}, {small(size.diameter_m + fit.light_opening_m)}.",
            f"Use a light of at most {small_down(size.diameter_m + fit.light_opening_m)}, or open the shell "
            f"{small(-fit.light_opening_m)} wider.",
        )
    room = fit.light_room_m if fit.light_room_m is not None else fit.front_room_m
    if room is not None and room < -TOLERANCE_M:
        who = f"light {fit.tightest} ({body})" if fit.light_room_m is not None else f"a light ({light})"
        yield finding(
            "light-does-not-fit",
            (made.name,),
            f"In {made.name} {who}, arranged as {made.placed.arrangement}, reaches {small(-room)} beyond the inside of the "
            "wall.",
            f"Move the lights inward by at least {small_up(-room)} (a smaller carrier, a smaller stand_off), use fewer or "
            "smaller ones, or another arrangement.",
        )
    if fit.clashes:
        pairs = [f"{a} with {b}" for a, b in fit.clashes[:3]]
        more = ", among others," if len(fit.clashes) > 3 else ""
        yield finding(
            "light-does-not-fit",
            (made.name,),
            f"In {made.name} the bodies of lights {several(pairs)}{more} ({body}) are in each other's way.",
            f"Set them at least {small_up(size.diameter_m)} apart, or leave at least {small_up(2.0 * size.depth_m)} between "
            "fronts that look away from each other.",
        )
    yield from _on_carrier(made)


def _on_carrier(made: KindMaking) -> Iterator[Finding]:
    """Yield a finding for each face that is narrower than a light on it."""
    if made.carrier is None:
        return
    for template in made.carrier.templates:
        face, wide = template.face, made.size.diameter_m
        if not template.drilled and face.name != "rim" and min(face.width_m, face.height_m) < wide - TOLERANCE_M:
            narrow = min(face.width_m, face.height_m)
            yield finding(
                "light-does-not-fit",
                (made.name,),
                f"{made.kind.fill.light}, {small(wide)} across, is wider than face {face.name} of the carrier of {made.name}, "
                f"{small(narrow)}.",
                f"Use a carrier of at least {small_up(wide)} there, or a light of at most {small_down(narrow)}.",
            )


def _carrier(made: KindMaking) -> Iterator[Finding]:
    fit, carrier = made.fit, made.kind.carrier
    if carrier is None:
        return
    if fit.carrier_room_m is not None and fit.carrier_room_m < -TOLERANCE_M:
        turn = ""
        if made.frame is not None and not made.frame.turned and carrier.shape in ("plate", "box"):
            turn = ", or swap the shell's width and depth if the carrier lies the other way"
        yield finding(
            "carrier-does-not-fit",
            (made.name,),
            f"The {carrier.shape} in {made.name} reaches {small(-fit.carrier_room_m)} beyond the inside of the wall.",
            f"Make it at least {small_up(-2.0 * fit.carrier_room_m)} smaller, or move it (above_base) to where the shell is "
            f"wider{turn}.",
        )
    if fit.carrier_opening_m is not None and fit.carrier_opening_m < -TOLERANCE_M:
        shell = made.kind.shell
        assert shell is not None
        assert shell.opening is not None
        yield finding(
            "carrier-does-not-fit",
            (made.name,),
            f"The {carrier.shape} in {made.name} needs an opening of {small(shell.opening - fit.carrier_opening_m)}, turned as "
            f"suits it best; there is one of {small(shell.opening)}.",
            f"Make the carrier at least {small_up(-fit.carrier_opening_m)} narrower, build it in two pieces, or cut the shell "
            "open.",
        )


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
    between = f"holes {web.first} and {web.second}" if web.second is not None else f"hole {web.first} and the edge"
    left = "overlap" if web.width_m <= 0.0 else f"leave a web of {small(web.width_m)}"
    fewer = f"Use fewer than {len(template.holes)} lights there" if len(template.holes) > 1 else "Use a smaller light"
    return finding(
        "web-too-thin",
        (made.name,),
        f"On face {template.face.name} of the carrier of {made.name} {between} {left}; at least {small_up(least_m)} is wanted.",
        f"{fewer}, or {_larger(made, template, least_m)}.",
    )


def _larger(made: KindMaking, template: FaceHoles, least_m: float) -> str:
    """Return how large the face would have to be for the pattern that its lights have."""
    face = template.face
    assert made.carrier is not None
    assert made.carrier.bore is not None
    count = sum(len(t.holes) for t in made.carrier.templates) if face.through else len(template.holes)
    hole = made.carrier.bore.diameter_m
    if face.outline == "rim":
        return "a wider and taller carrier"
    if face.outline == "round":
        return f"a face of {small_up(patterns.least_round_m(count, hole, least_m))} across"
    sides = patterns.least_rectangle_m(count, face.width_m, face.height_m, hole, least_m)
    return "a face of " + " by ".join(
        small(max(a, b)) for a, b in zip(sides, (face.width_m, face.height_m), strict=True)
    )


def _clearance(made: KindMaking, cables: CableHoles) -> Iterator[Finding]:
    low, high = CLEARANCE_M
    if cables.clearance_m is None or low - 1e-9 <= cables.clearance_m <= high + 1e-9:
        return
    assert cables.hole_m is not None
    thread = cables.hole_m - cables.clearance_m
    yield finding(
        "gland-clearance",
        (made.name,),
        f"The hole of {cables.gland} is {small(cables.hole_m)}, {small(cables.clearance_m)} more than its thread of "
        f"{small(thread)}.",
        f"Drill from {small(thread + low)} to {small(thread + high)}.",
    )


def _seat(made: KindMaking, cables: CableHoles, seat: Seat) -> Iterator[Finding]:
    glands = f"{cables.count} x {cables.gland}"
    if seat.hollow_m >= FLAT or seat.needs_m > seat.has_m + TOLERANCE_M:
        if seat.hollow_m >= FLAT and seat.has_m < seat.flange_m:
            found = "is pointed or bends away too sharply"
        else:
            found = f"has {small(seat.has_m)}"
        inside = f", clear of what sits {small(seat.keep_out_m)} round the axis there" if seat.keep_out_m > 0.0 else ""
        yield finding(
            "gland-room",
            (made.name,),
            f"{glands} need {small(seat.needs_m)} at the {cables.place} of {made.name} (flanges of {small(seat.flange_m)}, "
            f"{small(seat.spacing_m)} from centre to centre, estimates{inside}); it {found}.",
            "Move a gland to another place, or use a smaller gland for thinner cable.",
        )
    if seat.thread_left_m < NUT_M - 1e-9:
        yield finding(
            "gland-room",
            (made.name,),
            f"The wall of {made.name} is {small(THREAD_LENGTH_M - seat.thread_left_m)}; of the thread of {cables.gland} "
            f"{small(max(0.0, seat.thread_left_m))} stay inside, and the nut needs {small(NUT_M)} (estimates).",
            f"Thin the wall round the hole by at least {small_up(NUT_M - seat.thread_left_m)}, or use a gland with a longer "
            "thread.",
        )
