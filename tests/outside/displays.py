"""Random displays in the documented form, sized so that their voltages sag enough to be worth solving."""

from __future__ import annotations

import io
from typing import Any

import numpy as np
from ruamel.yaml import YAML

from tests.outside.spice import Display, fuse_ohm, joint_ohm, props_of, quantity, run_ohm

LEDS_IN_SERIES = {5.0: 1, 12.0: 3, 24.0: 6}
LEAST_SAG = 0.09
MOST_SAG = 0.45
MOST_SAG_SWITCHING = 0.19
# Where a switching driver's current is estimated, as a share of the supply: the lowest voltage such a display is allowed.
SWITCHING_AT = 0.8

Rng = np.random.Generator


def random_display(seed: int) -> Display:
    """A display drawn at random, the same for the same `seed`."""
    rng = np.random.default_rng(seed)
    while True:
        display = _draw(rng)
        most = MOST_SAG_SWITCHING if _has_switching(display) else MOST_SAG
        sags = estimated_sags(display)
        if max(sags.values()) <= most + 0.005 and max(sags.values()) >= LEAST_SAG:
            return display


def dump(display: Display) -> str:
    """The display as the YAML text of a display file."""
    yaml = YAML(typ="safe", pure=True)
    yaml.default_flow_style = False
    yaml.sort_base_mapping_type_on_output = False  # type: ignore[assignment]
    yaml.representer.ignore_aliases = lambda *_: True
    text = io.StringIO()
    yaml.dump(display, text)
    return text.getvalue()


def estimated_sags(display: Display) -> dict[str, float]:
    """For each string the greatest loss of voltage, as a share of its supply, roughly: every pulse on, no
    light dimmed by the sag, and each feed carrying the props up to the next one alone."""
    sections = {string_id: _sections(display, string) for string_id, string in display["strings"].items()}
    supply_a = dict.fromkeys(display["supplies"], 0.0)
    for parts in sections.values():
        for supply, _, amps in parts:
            supply_a[supply] += sum(amps)
    sags = {}
    for string_id, string in display["strings"].items():
        kinds = [display["kinds"][kind] for kind in props_of(string)]
        inside = max(_prop_ohm(display, kind) for kind in kinds)
        step = run_ohm(display, string["span"]) + 2 * joint_ohm(display, string["span"]) + inside
        drops = []
        for supply, arrive, amps in sections[string_id]:
            tails = np.cumsum(amps[::-1])[::-1]
            source = display["supplies"][supply]
            shared_v = supply_a[supply] * quantity(source["resistance"])
            own_v = 2 * (arrive + inside) * tails[0] + 2 * step * float(tails[1:].sum())
            drops.append((shared_v + own_v) / quantity(source["voltage"]))
        sags[string_id] = float(max(drops))
    return sags


def _sections(display: Display, string: dict[str, Any]) -> list[tuple[str, float, list[float]]]:
    """(supply, resistance of the cable that arrives, current of each prop) of each stretch between feeds."""
    amps = [_prop_a(display, kind) for kind in props_of(string)]
    feeds = string.get("feeds", [])
    starts = [1, *(feed["before"] for feed in feeds), len(amps) + 1]
    arrivals = [(string["supply"], fuse_ohm(display, string) + run_ohm(display, string["lead"]))]
    arrivals += [(feed["supply"], fuse_ohm(display, feed) + run_ohm(display, feed)) for feed in feeds]
    return [(supply, ohm, amps[starts[i] - 1 : starts[i + 1] - 1]) for i, (supply, ohm) in enumerate(arrivals)]


def _prop_ohm(display: Display, kind: dict[str, Any]) -> float:
    pigtails = 2 * run_ohm(display, kind["pigtail"]) if "pigtail" in kind else 0.0
    fill = kind["fill"]
    return pigtails + (run_ohm(display, fill["wiring"]) * (fill["count"] - 1) if "wiring" in fill else 0.0)


def _prop_a(display: Display, kind_id: str) -> float:
    fill = display["kinds"][kind_id]["fill"]
    load = display["parts"][fill["light"]]["light"]["load"]
    supply_v = max(quantity(supply["voltage"]) for supply in display["supplies"].values())
    if load["class"] == "constant-current":
        amps = sum(quantity(current) for current in load["current"])
    elif load["class"] == "resistor":
        amps = sum(
            load["parallel"] * (supply_v - load["series"] * quantity(forward)) / quantity(resistor)
            for forward, resistor in zip(load["forward"], load["resistor"], strict=True)
        )
    else:
        amps = sum(quantity(power) for power in load["power"]) / load["efficiency"] / (SWITCHING_AT * supply_v)
    return float(fill["count"] * (amps + quantity(load["idle"])))


def _has_switching(display: Display) -> bool:
    loads = [part["light"]["load"] for part in display["parts"].values() if "light" in part]
    return any(load["class"] == "constant-power" for load in loads)


def _draw(rng: Rng) -> Display:
    nominal_v = float(rng.choice(list(LEDS_IN_SERIES)))
    supplies = {
        name: {
            "voltage": f"{nominal_v * rng.uniform(0.995, 1.005) if rng.random() < 0.3 else nominal_v:.3f} V",
            "rating": f"{rng.integers(60, 400)} W",
            "resistance": f"{rng.uniform(2, 25):.1f} mohm",
        }
        for name in ["shed", "loft", "pier"][: rng.integers(1, 4)]
    }
    display: Display = {
        "display": "Random sample",
        "ambient": f"{rng.integers(-20, 51)} degC",
        "supplies": supplies,
        "controllers": {
            "box": {
                "outputs": 4,
                "nodes_per_output": 600,
                "rate": "40 Hz",
                "first_universe": 1,
                "gangs": True,
            }
        },
        "parts": {f"wire-{i}": {"cable": _cable(rng)} for i in range(1, 4)},
        "kinds": {},
        "strings": {},
        "levels": {},
    }
    # Switching drivers forbid a deep sag, so only some displays hold any: the rest reach the knees of the others.
    classes = (
        ["constant-current", "resistor", "constant-power"] if rng.random() < 0.65 else ["constant-current", "resistor"]
    )
    for name in ["float", "acorn", "star"][: rng.integers(1, 4)]:
        display["parts"][f"light-{name}"] = {"light": _light(rng, nominal_v, classes)}
        display["kinds"][name] = _kind(rng, f"light-{name}")
        if rng.random() < 0.8:
            display["levels"][name] = f"{100 if rng.random() < 0.4 else rng.integers(20, 101)} %"
    for output, name in enumerate(["rail", "gable", "spruce"][: rng.integers(1, 4)], start=1):
        _add_string(rng, display, name, output)
    return display


def _cable(rng: Rng) -> dict[str, Any]:
    way = rng.integers(4)
    if way == 0:
        return {"cores": 3, "size": f"{rng.choice([14, 16, 18, 20, 22])} AWG"}
    if way == 1:
        return {"cores": 3, "size": f"{rng.choice([14, 16, 18, 20, 22])} AWG", "strand": "solid"}
    if way == 2:
        return {"cores": 3, "size": f"{rng.choice([0.5, 0.75, 1, 1.5, 2.5, 4]):g} mm2"}
    return {"cores": 3, "resistance": f"{rng.uniform(0.006, 0.06):.4f} ohm/m"}


def _light(rng: Rng, nominal_v: float, classes: list[str]) -> dict[str, Any]:
    series = LEDS_IN_SERIES[nominal_v]
    forward_v = [rng.uniform(1.9, 2.1), rng.uniform(2.8, 3.05), rng.uniform(2.9, 3.15)]
    load: dict[str, Any] = {"class": str(rng.choice(classes))}
    if load["class"] == "constant-current":
        emitters = series
        load["current"] = [f"{rng.uniform(6, 19):.1f} mA" for _ in forward_v]
        load["turn_on"] = [f"{series * v:.2f} V" for v in forward_v]
        load["saturation"] = f"{rng.uniform(0.4, 0.9):.2f} V"
    elif load["class"] == "resistor":
        load["series"], load["parallel"] = series, int(rng.integers(1, 4))
        emitters = series * load["parallel"]
        load["forward"] = [f"{v:.2f} V" for v in forward_v]
        load["resistor"] = [f"{(nominal_v - series * v) / rng.uniform(0.006, 0.018):.0f} ohm" for v in forward_v]
    else:
        emitters = 3
        load["power"] = [f"{rng.uniform(0.04, 0.15):.3f} W" for _ in forward_v]
        load["efficiency"] = round(float(rng.uniform(0.78, 0.93)), 2)
        load["cutoff"] = f"{nominal_v * rng.uniform(0.4, 0.6):.2f} V"
    load["idle"] = f"{rng.uniform(0.3, 1.5):.2f} mA"
    return {"emitters": emitters, "load": load}


def _kind(rng: Rng, light: str) -> dict[str, Any]:
    fill: dict[str, Any] = {
        "light": light,
        "count": int(rng.integers(1, 6)),
        "gang": bool(rng.random() < 0.5),
    }
    if rng.random() < 0.4:
        fill["wiring"] = {"cable": _any_wire(rng), "length": f"{rng.integers(40, 160)} mm"}
    diameter_mm = rng.integers(60, 300)
    kind: dict[str, Any] = {
        "shell": {
            "shape": "sphere", "diameter": f"{diameter_mm} mm", "transmittance": 0.45, "reflectance": 0.45
        },
        "fill": fill,
    }  # fmt: skip
    if rng.random() < 0.6:
        kind["pigtail"] = {"cable": _any_wire(rng), "length": f"{rng.uniform(2, 10):.1f} in"}
    return kind


def _any_wire(rng: Rng) -> str:
    return f"wire-{rng.integers(1, 4)}"


def _add_string(rng: Rng, display: Display, name: str, output: int) -> None:
    total = int(rng.integers(3, 26))
    supplies = list(display["supplies"])
    string: dict[str, Any] = {
        "output": f"box/{output}",
        "supply": str(rng.choice(supplies)),
        "props": _props(rng, list(display["kinds"]), total),
        "lead": {"cable": _any_wire(rng)},
        "span": {"cable": _any_wire(rng)},
    }
    if rng.random() < 0.6:
        display["parts"][f"splice-{name}"] = {
            "joint": {"resistance": f"{rng.uniform(0.5, 12):.2f} mohm", "rating": "10 A"}
        }
        string["span"]["joint"] = f"splice-{name}"
    if rng.random() < 0.5:
        string["fuse"] = f"{rng.choice([3, 5, 7.5, 10]):g} A"
    befores = sorted(rng.choice(np.arange(2, total + 1), size=min(int(rng.integers(0, 3)), total - 1), replace=False))
    feeds = []
    for before in befores:
        feed = {"before": int(before), "supply": str(rng.choice(supplies)), "cable": _any_wire(rng)}
        if rng.random() < 0.5:
            feed["fuse"] = f"{rng.choice([3, 5, 7.5, 10]):g} A"
        if rng.random() < 0.7:
            feed["cut"] = bool(rng.random() < 0.6)
        feeds.append(feed)
    if feeds:
        string["feeds"] = feeds
    display["strings"][name] = string
    _choose_lengths(rng, display, name)


def _props(rng: Rng, kinds: list[str], total: int) -> str | list[str]:
    if len(kinds) == 1:
        return f"{total} * {kinds[0]}"
    groups: list[str] = []
    left = total
    while left > 0:
        many = min(left, int(rng.integers(1, 7)))
        kind = str(rng.choice(kinds))
        groups.append(kind if many == 1 else f"{many} * {kind}")
        left -= many
    return groups


def _choose_lengths(rng: Rng, display: Display, name: str) -> None:
    """Draw the cable lengths of one string, then stretch or shrink them all towards a sag drawn at random."""
    string = display["strings"][name]
    runs = [string["lead"], string["span"], *string.get("feeds", [])]
    drawn_m = [rng.uniform(1, 6), rng.uniform(0.3, 1.5), *rng.uniform(2, 8, len(runs) - 2)]
    alone = {**display, "strings": {name: string}}

    def sag(scale: float) -> float:
        for run, length_m in zip(runs, drawn_m, strict=True):
            run["length"] = _length(length_m * scale, imperial)
        return estimated_sags(alone)[name]

    imperial = bool(rng.random() < 0.4)
    most = MOST_SAG_SWITCHING if _has_switching(display) else MOST_SAG
    wanted = rng.uniform(most / 3, most - 0.01)
    at_none, at_drawn = sag(0.0), sag(1.0)
    sag(float(np.clip((wanted - at_none) / (at_drawn - at_none), 0.1, 6.0)))


def _length(length_m: float, imperial: bool) -> str:
    if imperial:
        return f"{length_m / 0.3048:.2f} ft"
    return f"{length_m:.3f} m" if length_m >= 1.0 else f"{length_m * 1000:.0f} mm"
