"""What could go inside a kind's shell: single lights on every arrangement that fits, and the modules of the catalogue."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from hollowglow.analysis.prop.inside import arrangement_of, body_of, frame_of, places, size_of
from hollowglow.analysis.prop.making.fit import TOLERANCE_M, fit_of
from hollowglow.assembly.resistances import resolved_supply
from hollowglow.file import Display
from hollowglow.file.model.kind import Arrangement, Kind
from hollowglow.file.reading.catalogue import raw_catalogue
from hollowglow.file.reading.load import part_named

MOST_SINGLES = 12
MODULES = (3, 6, 9, 12)
_EVERY: tuple[Arrangement, ...] = ("one face", "two faces", "ring", "up a tube")
_SAME_VOLTAGE_V = 0.1


@dataclass(frozen=True)
class Candidate:
    """One way to fill a shell: so many of a light, arranged like this; `now` where it is what the file says."""

    light: str
    count: int
    arrangement: Arrangement | None
    module: bool
    now: bool = False

    @property
    def words(self) -> str:
        """Return it in words, as in "5 x bullet-12mm-12v, ring"."""
        how = "as stated" if self.arrangement is None else self.arrangement
        return f"{self.light}, {how}" if self.count == 1 else f"{self.count} × {self.light}, {how}"


def system_voltages(display: Display, kind: str) -> set[float]:
    """Return the voltages of the supplies that feed props of a kind; those of all supplies where it hangs nowhere."""
    names: set[str] = set()
    for string in display.strings.values():
        if any(run.kind == kind for run in string.props):
            names |= set(string.supplies)
    return {resolved_supply(display, display.supplies[name])[0] for name in names or display.supplies}


def lights_for(display: Display, kind: str) -> tuple[list[str], list[str]]:
    """Return the single lights and the modules to compare for a kind.

    They are those of the system's voltage with as many colours as the present light: of the singles the present one,
    or else the cheapest; of the modules all of the usual sizes.
    """
    present = display.kinds[kind].fill.light
    own = part_named(display, present).light
    assert own is not None  # references are checked when the file is read
    volts = system_voltages(display, kind)
    names = dict.fromkeys(
        [present, *(n for n, p in display.parts.items() if p.light), *raw_catalogue().with_role("light")]
    )
    fitting = []
    for name in names:
        part = part_named(display, name)
        light = part.light
        if light is None or light.colours != own.colours:
            continue
        at_voltage = light.voltage is not None and any(abs(light.voltage - v) < _SAME_VOLTAGE_V for v in volts)
        if name == present or at_voltage:
            fitting.append((name, part, light.emitters))
    modules = [name for name, _, emitters in fitting if emitters in MODULES]
    singles = [(name, part) for name, part, emitters in fitting if emitters == 1]
    if own.emitters == 1:
        return [present], modules
    cheapest = sorted(singles, key=lambda s: (s[1].price is None, s[1].price or 0.0))
    return [name for name, _ in cheapest[:1]], modules


def with_fill(kind: Kind, candidate: Candidate) -> Kind:
    """Return a kind with another fill; positions stated by hand fall away with the lights that they were for."""
    if candidate.now:
        return kind
    change: dict[str, object] = {
        "light": candidate.light,
        "count": candidate.count,
        "arrangement": candidate.arrangement,
        "positions": None,
        "axes": None,
    }
    if candidate.count == 1:
        change["wiring"] = None
    return kind.model_copy(update={"fill": kind.fill.model_copy(update=change)})


def fits(display: Display, kind: Kind) -> bool:
    """Return whether the lights of a kind have room in its shell and do not stand in each other's way."""
    light = part_named(display, kind.fill.light).light
    assert light is not None
    frame = frame_of(kind.shell) if kind.shell is not None else None
    body = body_of(kind.carrier, frame) if kind.carrier is not None else None
    size = size_of(light)
    fit = fit_of(kind, frame, body, places(kind, light), size)
    rooms = (fit.light_room_m, fit.front_room_m, fit.light_opening_m)
    return all(room is None or room > -TOLERANCE_M for room in rooms) and not fit.clashes


def candidates(display: Display, kind: str, lights: Sequence[str] = ()) -> list[Candidate]:
    """Return every fill to compare for a kind: what the file says first, then singles by count, then modules.

    Args:
        display: what the person stated.
        kind: name of the kind.
        lights: names of lights to compare instead of those of the catalogue that suit.
    """
    stated = display.kinds[kind]
    singles, modules = lights_for(display, kind)
    if lights:
        emitters = {name: _emitters(display, name) for name in lights}
        singles = [n for n in lights if emitters[n] == 1]
        modules = [n for n in lights if emitters[n] != 1]
    fill = stated.fill
    is_module = _emitters(display, fill.light) > 1
    made = [Candidate(fill.light, fill.count, fill.arrangement, is_module, now=True)]
    for name in singles:
        for count in range(1, MOST_SINGLES + 1):
            ways: tuple[Arrangement, ...] = ("stand-off",) if count == 1 else _EVERY
            made += [Candidate(name, count, way, False) for way in ways]
    made += [Candidate(name, 1, "stand-off", True) for name in modules]
    kept = []
    for candidate in made:
        if candidate.now or (not _is_now(stated, candidate) and fits(display, with_fill(stated, candidate))):
            kept.append(candidate)
    return kept


def _is_now(kind: Kind, candidate: Candidate) -> bool:
    fill = kind.fill
    return (fill.light, fill.count, arrangement_of(kind)) == (candidate.light, candidate.count, candidate.arrangement)


def _emitters(display: Display, name: str) -> int:
    light = part_named(display, name).light
    return 1 if light is None else light.emitters
