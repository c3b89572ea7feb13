"""The words that code, file and screens use alike, and the few names that mean two things."""

from __future__ import annotations

from collections.abc import Mapping

WORDS: Mapping[str, str] = {
    "kind": "one recipe for a prop: shell, fill and fittings; a display has a few kinds and many props",
    "prop": "one object that hangs: a shell with its fill",
    "shell": "the hollow translucent body: its form, and what its wall lets through and throws back",
    "carrier": "the part inside the shell that the lights are mounted on (a plate, a box)",
    "fill": "the lights inside: several lights (each with its own driver) or a `module` (one driver, several LEDs)",
    "emitter": "an LED package",
    "node": "a driver chip: one place in the data chain",
    "cell": "the smallest unit that a show colours on its own. One module of nine LEDs is 9 emitters, 1 node, 1 cell; "
    "five ganged lights are 5 emitters, 5 nodes, 1 cell; unganged they are 5 cells",
    "gang": "nodes of one prop that repeat one cell's colour",
    "string": "props sharing one data line, in data order",
    "lead": "the cable from the output to the first prop",
    "slack": "how much longer a drawn cable is than the way between its ends",
    "span": "the cable between neighbouring props",
    "feed": "power brought in elsewhere along a string (power injection)",
    "pigtail": "the short cable that leaves a prop, one in and one out",
    "joint": "anything with contact resistance: splice, plug pair, terminal",
    "splice": "cable ends joined for good",
    "extension": "a ready-made cable with a plug at each end, sold in one length",
    "gland": "the fitting that closes a cable hole against water",
    "drip loop": "cable that hangs below its gland, so that rain drips off before it",
    "fuse": "what opens V+ before a cable or plug overheats",
    "supply": "a source of constant voltage",
    "limit": "what a supply does in a short: `hiccup` (off and on again), `constant` current, `foldback` (ever less)",
    "short": "V+ and V− touching: as much current as the loop and the supply's limit let through",
    "mains circuit": "the outlets behind one breaker that supplies stand on",
    "Class 2": "a supply so limited that its wiring needs little care (NEC chapter 9 table 11(B)); it must be listed as such",
    "controller": "what turns universes into the data of its outputs",
    "output": "one data connector of a controller, with its limits",
    "universe": "512 slots under one number (ANSI E1.31-2018)",
    "slot": "one byte of a universe: the brightness of one colour of one cell (ANSI E1.11)",
    "level": "brightness setting of a kind, 0 to 100 % of duty",
    "duty": "share of the time that an LED is on",
    "mean": "the operating point of currents averaged over time: heat, fuses, energy",
    "coincident": "the operating point where all pulses coincide: the lowest voltage that a lit LED sees",
    "steady state": "voltages at which every light draws just what the cables bring",
    "show": "what some program sends over the network: one frame after the other",
    "frame": "the slots of all universes of a display at one moment",
    "source": "a program or console that sends universes, with a priority; receivers heed the highest",
    "limiter": "what scales a frame down before it is sent, so that no supply or fuse passes its limit",
    "capture": "a file of the packets of a show with their times (pcap or pcapng)",
    "walk": "going through a display step by step while it is lit, and saying what is seen",
    "step": "one thing lit on a walk: a prop, a string, its colours, its ends, its numbers, a supply's trial",
    "trial": "a supply brought up to full white over seconds while somebody looks",
    "ampacity": "current that a cable may carry for hours",
    "V+, V−": "the two conductors that bring power; the data is measured against V−",
    "AWG, mm²": "conductor sizes: by gauge (ASTM B258), or by nominal area (IEC 60228), which is not the area that conducts",
    "finding": "something the tool noticed: `stop` (do not build or energise), `warn` (a warning) or `note`",
}

# Names with more than one unit, each with the reason why it may.
SEVERAL_UNITS: Mapping[str, str] = {
    "cable": "what it is where it stands by name or as a table; in `spares` the share of them that fails",
    "carrier": "what it is where it stands by name or as a table; in `spares` the share of them that fails",
    "controller": "what it is where it stands by name or as a table; in `spares` the share of them that fails",
    "extension": "what it is where it stands by name or as a table; in `spares` the share of them that fails",
    "fuse": "what it is where it stands by name or as a table; in `spares` the share of them that fails",
    "gland": "what it is where it stands by name or as a table; in `spares` the share of them that fails",
    "hook": "what it is where it stands by name or as a table; in `spares` the share of them that fails",
    "joint": "what it is where it stands by name or as a table; in `spares` the share of them that fails",
    "consumable": "what it is where it stands by name or as a table; in `spares` the share of them that fails",
    "shell": "what it is where it stands by name or as a table; in `spares` the share of them that fails",
    "supply": "what it is where it stands by name or as a table; in `spares` the share of them that fails",
    "cost": "the money for one prop, a table of the document, the money for one way of joining, and a step of `timings`",
    "faults": "a table of the document, and a step of `timings`",
    "mains": "a table of the file and of the document, and a step of `timings`",
    "findings": "a table of the document, and a step of `timings`",
    "light": "the name of a light part; in `spares` a share; in `nodes` what is left of a node's; and a step of `timings`",
    "load": "the current-voltage characteristic of a light, and the step of `timings` that reads the file",
    "at": "a point in metres; of a gland, a drain or a switch, the side of the shell that it sits on",
    "place": "the tables of the file that say where things are, and a step of `timings`",
    "points": "places of props in metres; of a backdrop, points of its picture in pixels",
    "parts": "the table of parts, the names of parts, and in `cost` the money for all of them",
    "plug": "the name of a plug part; in `labour` the time to put one together",
    "power": "watts wherever it is a quantity, and a step of `timings`",
    "trims": "shares of the colours of a kind, and the table of the file that states them",
    "rating": "watts of a supply, amperes of anything that only carries current",
    "temperature": "kelvins of a tolerance, degrees Celsius of a cable",
    "resistance": "ohms of a thing, ohms a metre of a cable part",
}


def units_by_name(*tables: Mapping[str, tuple[str, Mapping[str, tuple[str, str]]]]) -> dict[str, set[str]]:
    """Return every unit that each name has, over all tables of keys."""
    units: dict[str, set[str]] = {}
    for table in tables:
        for _, keys in table.values():
            for name, (unit, _) in keys.items():
                units.setdefault(name, set()).add(unit)
    return units
