"""Displays whose frames are worth solving, and another way to a frame: the display with each prop's colour built in."""

from __future__ import annotations

import copy
import json
from typing import Any

import numpy as np

from hollowglow.analysis.circuit.power import Solved, solve_network
from hollowglow.assembly import Assembly, expand
from hollowglow.assembly.kinds import MOST_COLOURS
from hollowglow.assembly.tables import Floats
from hollowglow.file import load_text
from hollowglow.show.demand import Demand
from hollowglow.show.demand.addresses import Bytes

CONSTANT_CURRENT = {
    "class": "constant-current",
    "current": ["18.5 mA"] * 3,
    "turn_on": ["6.0 V", "9.0 V", "9.3 V"],
    "saturation": "0.6 V",
    "idle": "1 mA",
}
RESISTOR = {
    "class": "resistor",
    "series": 3,
    "parallel": 2,
    "forward": ["2.0 V", "3.0 V", "3.1 V"],
    "resistor": ["330 ohm", "150 ohm", "150 ohm"],
    "idle": "1 mA",
}
CONSTANT_POWER = {
    "class": "constant-power",
    "power": ["0.10 W", "0.12 W", "0.12 W"],
    "efficiency": 0.85,
    "cutoff": "7 V",
    "idle": "1 mA",
}


def sample(*, switching: bool = True, lead_m: float = 8.0) -> dict[str, Any]:
    """Two strings on a supply with resistance: one sags into its lights' knees, the other is fed twice."""
    second = "puck" if switching else "bar"
    return {
        "display": "Sample",
        "supplies": {"shed": {"voltage": "12 V", "rating": "60 W", "resistance": "40 mohm"}},
        "controllers": {"box": {"outputs": 4, "gangs": True}},
        "parts": {
            "constant-current": {"light": {"emitters": 1, "load": CONSTANT_CURRENT}},
            "bar": {"light": {"emitters": 9, "load": RESISTOR}},
            "constant-power": {"light": {"emitters": 3, "load": CONSTANT_POWER}},
            "thin": {"cable": {"resistance": "0.06 ohm/m"}},
            "twist": {"joint": {"resistance": "5 mohm"}},
        },
        "kinds": {
            "float": {
                "fill": {"light": "constant-current", "count": 5},
                "pigtail": {"cable": "thin", "length": "150 mm"},
            },
            "bar": {"fill": {"light": "bar"}},
            "puck": {"fill": {"light": "constant-power", "count": 2}},
        },
        "strings": {
            "rail": {
                "output": "box/1",
                "supply": "shed",
                "props": "9 * float",
                "lead": {"cable": "thin", "length": f"{lead_m} m"},
                "span": {"cable": "thin", "length": "1.5 m", "joint": "twist"},
                "fuse": "5 A",
            },
            "roof": {
                "output": "box/2",
                "supply": "shed",
                "props": ["6 * bar", f"6 * {second}"],
                "lead": {"cable": "thin", "length": "3 m"},
                "span": {"cable": "thin", "length": "1 m", "joint": "twist"},
                "fuse": "4 A",
                "feeds": [{"before": 7, "supply": "shed", "cable": "thin", "length": "9 m", "fuse": "3 A"}],
            },
        },
    }


def built(data: dict[str, Any]) -> Assembly:
    """The display given as plain data, expanded."""
    return expand(load_text(json.dumps(data)))


def random_frames(demand: Demand, count: int, seed: int) -> Bytes:
    """Frames of random colours, some of them dim, some of them full."""
    rng = np.random.default_rng(seed)
    addresses = demand.addresses
    made = [addresses.full(), addresses.dark()]
    while len(made) < count:
        top = int(rng.integers(1, 256))
        colours = rng.integers(0, top + 1, (addresses.cells, 4))
        if rng.random() < 0.3:
            colours[rng.random(addresses.cells) < 0.5] = 255
        made.append(addresses.frame(colours.astype(np.uint8)))
    return np.stack(made[:count])


def load_duties(demand: Demand, frame: Bytes) -> Floats:
    """Duty of each light of the network, from the table of nodes."""
    duty: Floats = demand.addresses.load_nodes @ demand.addresses.duties(frame).reshape(-1, MOST_COLOURS)
    return duty


def full_solver(demand: Demand, frame: Bytes) -> Solved:
    """The frame as the solver of a plan finds it, from no load, with duties straight from the address table."""
    return solve_network(demand.spread, load_duties(demand, frame))


def with_colours(data: dict[str, Any], colours: dict[str, list[list[int]]]) -> dict[str, Any]:
    """The display in which every prop is a kind of its own, whose full white is what the frame asks of it.

    Args:
        data: the display, its props given as a list of single kinds.
        colours: for each string the red, green and blue of its props, 1 to 255.
    """
    made = copy.deepcopy(data)
    made["levels"] = {}
    made["controllers"]["box"].pop("first_universe", None)
    for name, string in data["strings"].items():
        kinds = [k for run in _runs(string["props"]) for k in run]
        string_props = []
        for number, (kind, colour) in enumerate(zip(kinds, colours[name], strict=True)):
            own = f"{name}-{number}"
            light = copy.deepcopy(data["parts"][data["kinds"][kind]["fill"]["light"]])
            load = light["light"]["load"]
            for key, power in (("current", 1), ("power", 1), ("resistor", -1)):
                if key in load:
                    values = [str(v).split() for v in load[key]]
                    load[key] = [
                        f"{float(v) * (c / 255) ** power!r} {unit}" for (v, unit), c in zip(values, colour, strict=True)
                    ]
            made["parts"][own] = light
            made["kinds"][own] = copy.deepcopy(data["kinds"][kind])
            made["kinds"][own]["fill"]["light"] = own
            string_props.append(own)
        made["strings"][name]["props"] = string_props
    return made


def _runs(props: str | list[str]) -> list[list[str]]:
    runs = []
    for run in [props] if isinstance(props, str) else props:
        times, star, kind = run.rpartition("*")
        runs.append([kind.strip()] * (int(times) if star else 1))
    return runs
