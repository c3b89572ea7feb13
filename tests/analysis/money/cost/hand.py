"""Two small displays whose every part can be counted on fingers."""

import json
from typing import Any

from hollowglow.analysis.money.cost import Cost, analyse
from hollowglow.assembly import expand
from hollowglow.assembly.tables import Assembly
from hollowglow.file import load_text
from hollowglow.plan import Plan, make_plan

FOOT_M = 0.3048

# Prices: thin 0.50 a metre, thick 1.00 a metre, everything else by the piece.
PARTS: dict[str, Any] = {
    "lamp": {
        "price": 0.30,
        "light": {
            "emitters": 1,
            "load": {
                "class": "constant-current",
                "current": ["20 mA", "20 mA", "20 mA"],
                "turn_on": ["1 V", "1 V", "1 V"],
                "saturation": "1 V",
            },
        },
    },
    "thin": {"price": 0.50, "cable": {"resistance": "0.03 ohm/m"}},
    "thick": {"price": 1.00, "cable": {"resistance": "0.01 ohm/m"}},
    "twist": {"price": 0.40, "joint": {"resistance": "2 mohm", "sort": "splice"}},
    "screw": {"price": 0.70, "joint": {"resistance": "1 mohm", "sort": "terminal"}},
    "pair": {"price": 1.10, "joint": {"resistance": "6 mohm", "sort": "plug", "mating": "round"}},
    "ready": {"price": 2.35, "extension": {"cable": "thin", "length": "1 m", "plug": "pair"}},
    "melt": {"price": 0.25, "fuse": {"rating": "2 A"}},
    "nut": {"price": 0.35, "gland": {"thread": "PG7", "clamp": ["3 mm", "6 mm"], "hole": "12.8 mm"}},
    "loop": {"price": 0.20, "hook": {"holds": "1 kg"}},
    "heat-shrink-adhesive": {"price": 0.15, "consumable": {"unit": "piece"}},
}

# Each operation takes another prime number of seconds, so that no two mistakes can cancel.
LABOUR = {
    "open_shell": 101,
    "fit_light": 103,
    "fit_gland": 107,
    "fit_pigtail": 109,
    "fit_hook": 113,
    "close_and_test": 127,
    "cut_piece": 131,
    "splice": 137,
    "plug": 139,
    "fit_plug": 149,
    "terminal": 151,
    "seal_end": 167,
    "fit_fuse": 173,
    "hang_prop": 157,
    "run_feed": 163,
}


def counted() -> dict[str, Any]:
    """Four balls on a spliced rail with a second feed, three balls on plugged extensions."""
    return {
        "display": "Counted",
        "currency": "EUR",
        "drip_loop": "50 mm",
        "supplies": {"shed": {"voltage": "12 V", "rating": "100 W", "price": 30}},
        "controllers": {"box": {"outputs": 4, "price": 90}},
        "parts": PARTS,
        "kinds": {
            "ball": {
                "shell": {
                    "shape": "sphere",
                    "diameter": "100 mm",
                    "transmittance": 0.5,
                    "reflectance": 0.4,
                    "price": 2,
                },
                "fill": {"light": "lamp", "count": 3, "gang": True, "wiring": {"cable": "thin", "length": "80 mm"}},
                "pigtail": {"cable": "thin", "length": "150 mm"},
                "gland": {"part": "nut", "count": 2},
                "hook": "loop",
            }
        },
        "strings": {
            "rail": {
                "output": "box/1",
                "supply": "shed",
                "props": "4 * ball",
                "lead": {"cable": "thick", "length": "3 m", "joint": "screw"},
                "span": {"cable": "thin", "length": "1.5 m", "joint": "twist"},
                "fuse": "3 A",
                "feeds": [{"before": 3, "supply": "shed", "cable": "thick", "length": "5 m", "fuse": "melt"}],
            },
            "gable": {
                "output": "box/2",
                "supply": "shed",
                "props": "3 * ball",
                "lead": {"cable": "thick", "length": "2 m", "joint": "pair"},
                "span": {"extension": "ready"},
            },
        },
        "labour": {key: f"{seconds} s" for key, seconds in LABOUR.items()} | {"hour": 20},
    }


def eight(span: dict[str, Any], **more: Any) -> dict[str, Any]:
    """A string of eight balls of one lamp (60 mA, saturated), joined by these spans."""
    return {
        "display": "Eight",
        "supplies": {"shed": {"voltage": "12 V", "rating": "100 W"}},
        "controllers": {"box": {"outputs": 1}},
        "parts": PARTS,
        "kinds": {"ball": {"fill": {"light": "lamp"}}},
        "strings": {
            "rail": {
                "output": "box/1",
                "supply": "shed",
                "props": "8 * ball",
                "lead": {"cable": "thick", "length": "2 m"},
                "span": span,
            }
        },
        "labour": {key: f"{seconds} s" for key, seconds in LABOUR.items()},
    } | more


def build_of(data: dict[str, Any]) -> Assembly:
    return expand(load_text(json.dumps(data)))


def plan_of(data: dict[str, Any]) -> Plan:
    return make_plan(load_text(json.dumps(data)))


def cost_of(data: dict[str, Any]) -> Cost:
    plan = plan_of(data)
    return analyse(plan.assembly, plan.power.mean.edge_plus_a, plan.power.mean.edge_minus_a)
