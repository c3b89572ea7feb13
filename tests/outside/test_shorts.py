"""Dead shorts against ngspice: tree, cut and joined feeds, supplies that limit and fold back."""

import json
from typing import Any

import pytest

from hollowglow.analysis.circuit.fault import Faults, analyse
from hollowglow.assembly import expand
from hollowglow.file import load_text
from tests.outside.shorts import short

Display = dict[str, Any]
LIMITS = ({"limit": "constant", "limit_current": "200 A"}, {"limit": "constant", "limit_current": "9 A"},
          {"limit": "foldback", "limit_current": "14 A", "limit_at_zero": "35 %"})  # fmt: skip


def display(limit: dict[str, str], feeds: list[dict[str, Any]], pigtail: bool = True) -> Display:
    """Eight props; every fuse a part with a resistance, so that ngspice has something to measure."""
    kind: dict[str, Any] = {"fill": {"light": "lamp", "count": 3, "wiring": {"cable": "thin", "length": "80 mm"}}}
    if pigtail:
        kind["pigtail"] = {"cable": "thin", "length": "150 mm"}
    return {
        "display": "Shorts",
        "ambient": "5 degC",
        "supplies": {"shed": {"voltage": "12 V", "rating": "100 W", "resistance": "20 mohm", **limit}},
        "controllers": {"box": {"outputs": 4}},
        "parts": {
            "lamp": {
                "light": {
                    "emitters": 1,
                    "load": {
                        "class": "constant-current",
                        "current": ["18 mA", "18 mA", "18 mA"],
                        "turn_on": ["2 V", "3 V", "3 V"],
                        "saturation": "0.6 V",
                        "idle": "1 mA",
                    },
                }
            },
            "thin": {"cable": {"size": "20 AWG"}},
            "thick": {"cable": {"size": "1.5 mm2"}},
            "twist": {"joint": {"resistance": "5 mohm", "rating": "5 A"}},
            "blow": {"fuse": {"rating": "4 A", "resistance": "22 mohm"}},
            "pop": {"fuse": {"rating": "2 A", "resistance": "48 mohm"}},
        },
        "kinds": {"float": kind},
        "strings": {
            "rail": {
                "output": "box/1",
                "supply": "shed",
                "props": "8 * float",
                "lead": {"cable": "thick", "length": "4 m"},
                "span": {"cable": "thin", "length": "1.8 m", "joint": "twist"},
                "fuse": "blow",
                "feeds": feeds,
            }
        },
    }


def feed(before: int, length: str, fuse: str, cut: bool) -> dict[str, Any]:
    return {"before": before, "supply": "shed", "cable": "thick", "length": length, "fuse": fuse, "cut": cut}


NETWORKS: dict[str, list[dict[str, Any]]] = {
    "one end": [],
    "cut": [feed(5, "9 m", "pop", True)],
    "joined": [feed(5, "9 m", "pop", False)],
    "joined thrice": [feed(3, "7 m", "pop", False), feed(6, "11 m", "blow", False), feed(8, "14 m", "pop", False)],
    "mixed": [feed(3, "7 m", "pop", False), feed(6, "11 m", "blow", True)],
}


def names(prop: int) -> list[tuple[str, str]]:
    """Points of ours with the name of the same place in the netlist: both joints behind a prop."""
    return [
        (f"rail/span{prop:02d}/joint1", f"rail joint after rail/prop{prop:02d}"),
        (f"rail/span{prop:02d}/joint2", "rail joint before next"),
    ]


def computed(data: Display) -> tuple[Faults, dict[str, int]]:
    assembly = expand(load_text(json.dumps(data)))
    faults = analyse(assembly)
    return faults, {name: i for i, name in enumerate(faults.points.ids(assembly))}


@pytest.mark.parametrize("pigtail", [True, False], ids=["pigtails", "no pigtails"])
@pytest.mark.parametrize("limit", LIMITS, ids=["unlimited", "constant", "foldback"])
@pytest.mark.parametrize("network", NETWORKS)
def test_the_current_of_every_short_is_that_of_ngspice(network: str, limit: dict[str, str], pigtail: bool) -> None:
    data = display(limit, NETWORKS[network], pigtail)
    faults, at = computed(data)
    cuts = {f["before"] for f in NETWORKS[network] if f["cut"]}
    for prop in range(1, 8):
        if prop + 1 in cuts:
            continue  # the netlist has the gap before the span, ours at its end
        ours, theirs = names(prop)[0]
        expected = short(data, theirs)["short"]
        assert faults.current_a[at[ours]] == pytest.approx(expected, rel=1e-6), ours
    assert faults.current_a[at["rail/prop08"]] == pytest.approx(short(data, "rail/prop08 wiring")["short"], rel=1e-6)


@pytest.mark.parametrize("prop", range(1, 8))
def test_the_first_fuse_opens_at_its_own_current_and_the_next_at_what_is_left_to_it(prop: int) -> None:
    data = display(LIMITS[1], NETWORKS["joined"])
    faults, at = computed(data)
    ours, place = names(prop)[0]
    row = at[ours]
    first = short(data, place)
    # 4 A at the lead, 2 A at the feed: the larger multiple goes first.
    goes, stays, rating = (
        ("rail/fuse", "rail/prop05 feed", 2.0)
        if first["rail/fuse"] / 4.0 > first["rail/prop05 feed"] / 2.0
        else ("rail/prop05 feed", "rail/fuse", 4.0)
    )
    then = short(data, place, opened=(goes,))
    assert faults.fuse_a[row] == pytest.approx(then[stays], rel=1e-6)
    assert faults.entries.rating_a[faults.entry[row]] == rating
