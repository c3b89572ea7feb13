"""Plain inputs for the pictures: strings as ladders of equal lights, supplies with one and many strings."""

from __future__ import annotations

import math

from hollowglow.draw.circuit.line_diagram import DiagramCable, DiagramFeed, DiagramFuse, LineDiagram, StringLine
from hollowglow.draw.circuit.profile import Profile

AWKWARD = "rail <&\"> 'a'"


def ladder(props: int, amps: float = 0.05, coincident: float = 1.0, title: str = "Rail", **more: object) -> Profile:
    """Equal lights on 0.0335 ohm/m in V+ and V− alike, 4 m of lead and 1.8 m spans, 12 V."""
    distance, v_plus, v_minus = [], [], []
    drop = 0.0
    for prop in range(props):
        drop += (4.0 if prop == 0 else 1.8) * 0.0335 * amps * (props - prop)
        distance.append(4.0 + 1.8 * prop)
        v_plus.append(12.0 - drop)
        v_minus.append(drop)
    return Profile(
        title=title,
        distance_m=tuple(distance),
        v_plus=tuple(v_plus),
        v_minus=tuple(v_minus),
        v_across=tuple(12.0 - 2 * v for v in v_minus),
        v_coincident=tuple(12.0 - 2 * coincident * v for v in v_minus),
        supply_v=12.0,
        **more,  # type: ignore[arg-type]
    )


def with_dark(profile: Profile, first: int, last: int) -> Profile:
    """The same string with V+ missing at the props `first` to `last` (indices from 0)."""

    def hide(column: tuple[float, ...]) -> tuple[float, ...]:
        return tuple(math.nan if first <= k <= last else v for k, v in enumerate(column))

    return Profile(
        profile.title,
        profile.distance_m,
        hide(profile.v_plus),
        profile.v_minus,
        hide(profile.v_across),
        hide(profile.v_coincident),
        profile.supply_v,
        profile.limit_v,
        profile.labels,
        profile.feeds,
        profile.cuts_m,
    )


PROFILES = {
    "usual": ladder(12, 0.14, limit_v=10.5),
    "coincident": ladder(
        20,
        0.06,
        1.5,
        limit_v=9.0,
        feeds=((22.0, "feed before 11"),),
        labels=tuple(f"rail/prop{k:02d}" for k in range(20)),
    ),
    "one": ladder(1, 0.4, limit_v=9.0),
    "many": ladder(500, 0.00001, 1.2),
    "dark end": with_dark(ladder(16, cuts_m=(22.0,), limit_v=9.0), 10, 15),
    "dark middle": with_dark(ladder(16, limit_v=9.0), 7, 7),
    "dark": with_dark(ladder(16, limit_v=9.0), 0, 15),
    "equal": ladder(16, 0.0, limit_v=9.0),
    "crowded": ladder(
        20,
        limit_v=11.0,
        coincident=1.3,
        feeds=(
            (11.2, "feed before 5"),
            (14.8, "feed before 7"),
            (22.0, "feed before 11"),
            (38.2, "far feed"),
        ),
        cuts_m=(7.6, 22.0),
    ),
    "awkward": ladder(6, title=AWKWARD, labels=(AWKWARD,) * 6, feeds=((5.8, AWKWARD),)),
}


def string(name: str, props: int, *feeds: DiagramFeed, fuse: DiagramFuse | None = None) -> StringLine:
    """A string with equal spans."""
    return StringLine(name, props, DiagramCable(4.0, "20 AWG"), (1.8,) * (props - 1), "20 AWG", fuse, feeds, "box/1")


RAIL = string(
    "rail", 12, DiagramFeed(7, DiagramCable(12.0, "18 AWG"), DiagramFuse(5.0, 1.9)), fuse=DiagramFuse(5.0, 3.21)
)
STRINGS = (
    RAIL,
    string(
        "gable ridge",
        40,
        DiagramFeed(14, DiagramCable(16.0, "1.5 mm²"), DiagramFuse(5.0, 2.8)),
        DiagramFeed(29, DiagramCable(22.0, "1.5 mm²"), DiagramFuse(5.0), cut=True, supply="boathouse"),
        fuse=DiagramFuse(7.5, 6.2, "warn"),
    ),
    StringLine("spruce", 4, DiagramCable(2.2, "22 AWG"), (0.6, 0.75, 0.9), "22 AWG", DiagramFuse(10.0, 1.1, "stop")),
    string("star", 1),
    string(
        "walk",
        200,
        *(DiagramFeed(k, DiagramCable(k / 2, "2.5 mm²"), DiagramFuse(7.5, 5.5)) for k in (41, 81, 121, 161)),
        fuse=DiagramFuse(10.0),
    ),
    string(AWKWARD, 9, DiagramFeed(1, DiagramCable(3.0, "20 AWG")), DiagramFeed(9, DiagramCable(5.0, "20 AWG"))),
)

DIAGRAMS = {
    "one": LineDiagram("Supply shed", "shed", 12.0, 100.0, 0.64, (RAIL,)),
    "six": LineDiagram(AWKWARD, "boathouse lower shelf", 12.0, 350.0, 0.93, STRINGS, "warn"),
    "over": LineDiagram("Supply shed", "shed", 5.0, 25.0, 1.2, (STRINGS[3],), "stop"),
    "bare": LineDiagram("Supply shed", "shed", 12.0, 100.0, math.nan, ()),
}
