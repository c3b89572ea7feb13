"""Kinds for the tests to change, each as plain data, and what is made of them."""

import json
from typing import Any

from hollowglow.analysis.prop.making import KindMaking, Places, analyse, judge, places
from hollowglow.assembly import Assembly, expand
from hollowglow.assembly.kinds import light_of
from hollowglow.file import load_text
from hollowglow.file.model.kind import Kind
from hollowglow.file.model.parts import Light
from hollowglow.messages import Finding

Data = dict[str, Any]
LAMP: Data = {
    "emitters": 1,
    "diameter": "12 mm",
    "depth": "24 mm",
    "load": {"class": "constant-current", "current": ["20 mA"] * 3, "turn_on": ["1 V"] * 3, "saturation": "1 V"},
}
PARTS: Data = {
    "lamp": {"mass": "4 g", "light": LAMP},
    "plain-lamp": {"light": {k: v for k, v in LAMP.items() if k not in ("diameter", "depth")}},
    "coin": {"mass": "20 g", "light": {**LAMP, "emitters": 9, "diameter": "35 mm", "depth": "10 mm"}},
    "wire": {"mass": "50 g", "cable": {"resistance": "0.03 ohm/m", "diameter": "5 mm"}},
    "rope": {"mass": "90 g", "cable": {"resistance": "0.01 ohm/m", "diameter": "8 mm"}},
    "nut": {
        "mass": "6 g",
        "gland": {"thread": "PG7", "clamp": ["3 mm", "6.5 mm"], "hole": "12.8 mm", "thread_diameter": "12.5 mm"},
    },
    "loop": {"hook": {"holds": "0.3 kg", "metal": False}},
    "steel": {"mass": "8 g", "hook": {"holds": "5 kg"}},
    "tight": {
        "gland": {"thread": "PG7", "clamp": ["3 mm", "6.5 mm"], "hole": "12.5 mm", "thread_diameter": "12.5 mm"},
    },
}
BALL: Data = {"shape": "sphere", "diameter": "140 mm", "wall": "2 mm", "mass": "100 g"}
DRUM: Data = {"shape": "cylinder", "diameter": "100 mm", "height": "120 mm", "wall": "2 mm", "mass": "100 g"}
CONE: Data = {"shape": "cone", "diameter": "120 mm", "height": "200 mm", "wall": "2 mm"}
BOX: Data = {"shape": "box", "width": "120 mm", "depth": "100 mm", "height": "160 mm", "wall": "2 mm"}
DROP: Data = {
    "shape": "lathe",
    "profile": [["20 mm", "0 mm"], ["60 mm", "50 mm"], ["40 mm", "120 mm"], ["0 mm", "160 mm"]],
    "wall": "2 mm",
}
DISC: Data = {"shape": "disc", "diameter": "70 mm", "thickness": "3 mm", "mass": "12 g"}
PLATE: Data = {"shape": "plate", "width": "70 mm", "height": "60 mm", "thickness": "3 mm"}
CRATE: Data = {"shape": "box", "width": "60 mm", "depth": "50 mm", "height": "60 mm"}
TUBE: Data = {"shape": "tube", "diameter": "40 mm", "height": "80 mm"}
# A kind that is right in everything.
SOUND_KIND: Data = {
    "shell": {**DRUM, "opening": "90 mm"},
    "carrier": {**DISC, "above_base": "40 mm"},
    "fill": {"light": "lamp", "count": 3},
    "pigtail": {"cable": "wire", "length": "150 mm"},
    "gland": {"part": "nut", "count": 2},
    "hook": "steel",
    "hangs": "tip up",
}


def build_of(kind: Data, name: str = "ball", **top: Any) -> Assembly:
    """A display with two props of one kind."""
    data = {
        "display": "Made",
        "supplies": {"shed": {"voltage": "12 V", "rating": "100 W"}},
        "controllers": {"box": {"outputs": 1}},
        "parts": PARTS,
        "kinds": {name: {"fill": {"light": "lamp"}, **kind}},
        "strings": {
            "rail": {
                "output": "box/1",
                "supply": "shed",
                "props": f"2 * {name}",
                "lead": {"cable": "wire", "length": "1 m"},
                "span": {"cable": "wire", "length": "1 m"},
            }
        },
        **top,
    }
    return expand(load_text(json.dumps(data)))


def kind_of(kind: Data) -> tuple[Kind, Light]:
    """A kind and its light."""
    assembly = build_of(kind)
    return assembly.display.kinds["ball"], light_of(assembly.display, "ball")


def placed(kind: Data) -> Places:
    """Where its lights sit."""
    return places(*kind_of(kind))


def made(kind: Data, **top: Any) -> KindMaking:
    """How it is built."""
    (one,) = analyse(build_of(kind, **top)).kinds
    return one


def found(kind: Data, **top: Any) -> list[Finding]:
    """What is found about it."""
    assembly = build_of(kind, **top)
    return list(judge(assembly, analyse(assembly)))


def codes(kind: Data, **top: Any) -> list[str]:
    """Their codes, in order."""
    return [finding.code for finding in found(kind, **top)]
