"""Edits of a display file that carry a mend out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from hollowglow.assembly import Assembly
from hollowglow.assembly.resistances import cable_ohm_per_m
from hollowglow.assembly.tables import CableSort
from hollowglow.file.reading.catalogue import raw_catalogue
from hollowglow.file.reading.load import load_part
from hollowglow.file.text.commands import Path, Put
from hollowglow.quantity.numbers import rounded_down
from hollowglow.quantity.quantities import Quantity, share, tell


def put(path: tuple[str | int, ...], value: Quantity) -> Put:
    """Return the edit that states a quantity in the file."""
    return Put(path, tell(replace(value, digits=None, stated=True)))


def dimmed(assembly: Assembly, kinds: Iterable[str], to: float) -> tuple[Put, ...]:
    """Return the edits that bring the levels of kinds down to a share of what they are."""
    display = assembly.display
    return tuple(put(("levels", kind), share(rounded_down(to * display.level(kind)))) for kind in kinds)


def run_path(assembly: Assembly, cable: int) -> Path:
    """Return where the file states a lead or a feed, by its row in the table of cables; its fuse and cable stand there."""
    cables = assembly.cables
    string = assembly.strings.names[int(cables.string[cable])]
    if cables.sort[cable] == CableSort.LEAD:
        return ("strings", string)
    before = [feed.before for feed in assembly.display.strings[string].feeds]
    return ("strings", string, "feeds", before.index(int(cables.number[cable])))


def heavier_cable(assembly: Assembly, cable: int, times: float) -> tuple[Put, ...]:
    """Return the edits that give a lead or feed, and the spans of its string, cable with so many times the copper.

    None where the string has other copper on its way, ready-made extensions or pigtails, or no known cable has enough.
    """
    path = run_path(assembly, cable)
    display, string = assembly.display, assembly.display.strings[str(path[1])]
    pigtails = any(display.kinds[run.kind].pigtail is not None for run in string.props)
    if pigtails or (string.span is not None and string.span.extension is not None):
        return ()
    run = assembly.parts[int(assembly.cables.part[cable])]
    places = [((*path, "cable") if len(path) > 2 else (*path, "lead", "cable"), run)]
    if string.span is not None and string.span.cable is not None:
        places.append((("strings", path[1], "span", "cable"), string.span.cable))
    known = dict.fromkeys([*raw_catalogue().with_role("cable"), *(n for n, p in display.parts.items() if p.cable)])
    parts = [(name, display.parts[name] if name in display.parts else load_part(name)) for name in known]
    cables = {name: part.cable for name, part in parts if part.cable is not None}
    copper = {name: cable_ohm_per_m(one, display.ambient) for name, one in cables.items()}
    edits = []
    for where, now in places:
        enough = [
            name
            for name, ohm in copper.items()
            if ohm * times <= copper[now] and cables[name].cores == cables[now].cores
        ]
        if not enough:
            return ()
        edits.append(Put(where, max(enough, key=lambda name: copper[name])))
    return tuple(edits)


def cut(assembly: Assembly, string: str, before: int, opened: bool = True) -> Put:
    """Return the edit that opens V+ before the prop of a feed, or closes it."""
    at = next(i for i, feed in enumerate(assembly.display.strings[string].feeds) if feed.before == before)
    return Put(("strings", string, "feeds", at, "cut"), opened)
