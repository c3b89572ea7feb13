"""One small display for every finding code: a sound display with one thing made wrong."""

import copy
import json
from collections.abc import Callable
from typing import Any

from hollowglow.analysis.prop.optics import NO_READINGS, KindReadings, MeasuredLight
from hollowglow.file import load_text
from hollowglow.plan import Plan, make_plan
from tests.analysis.prop.making.samples import BALL, DISC, DRUM, PARTS, SOUND_KIND

Data = dict[str, Any]


def sound() -> Data:
    """A display with nothing to find: four props of 3 x 100 mA, 1.2 A in all, far inside every limit."""
    return {
        "display": "Sound",
        "supplies": {"shed": {"voltage": "12 V", "rating": "60 W", "limit": "constant"}},
        "controllers": {"box": {"outputs": 4}},
        "parts": {
            "lamp": {
                "light": {
                    "emitters": 1,
                    "load": {
                        "class": "constant-current",
                        "current": ["100 mA", "100 mA", "100 mA"],
                        "turn_on": ["1 V", "1 V", "1 V"],
                        "saturation": "1 V",
                    },
                }
            },
            "wire": {"cable": {"resistance": "0.05 ohm/m", "ampacity": "10 A"}},
            "twist": {"joint": {"resistance": "5 mohm", "rating": "5 A"}},
        },
        "kinds": {"float": {"fill": {"light": "lamp"}}},
        "strings": {
            "rail": {
                "output": "box/1",
                "supply": "shed",
                "props": "4 * float",
                "lead": {"cable": "wire", "length": "2 m"},
                "span": {"cable": "wire", "length": "1 m", "joint": "twist"},
                "fuse": "2 A",
            }
        },
    }


def plan_of(data: Data) -> Plan:
    """The plan of a display given as plain data (JSON is YAML), with readings beside it where there are any."""
    stated = {key: value for key, value in data.items() if key != "readings"}
    return make_plan(load_text(json.dumps(stated)), readings=data.get("readings", NO_READINGS))


def _low_voltage(d: Data) -> None:
    # The lead alone loses 1.2 A x 2 x 0.1 ohm = 0.24 V.
    d["parts"]["lamp"]["light"]["minimum"] = "11.8 V"


def _resistor_lights(d: Data) -> None:
    # Blue has 12 V - 3 x 3.1 V = 2.7 V for its resistor; the lead's 3 ohm take more than a tenth of that.
    d["parts"]["lamp"]["light"]["load"] = {
        "class": "resistor",
        "series": 3,
        "parallel": 1,
        "forward": ["2.0 V", "3.0 V", "3.1 V"],
        "resistor": ["330 ohm", "150 ohm", "150 ohm"],
    }
    d["strings"]["rail"]["lead"]["length"] = "30 m"


def _supply_rating(watts: int) -> Callable[[Data], None]:
    def change(d: Data) -> None:
        d["supplies"]["shed"]["rating"] = f"{watts} W"

    return change


def _ampacity(amps: float) -> Callable[[Data], None]:
    def change(d: Data) -> None:
        d["parts"]["wire"]["cable"]["ampacity"] = f"{amps} A"

    return change


def _joint_rating(amps: float) -> Callable[[Data], None]:
    def change(d: Data) -> None:
        d["parts"]["twist"]["joint"]["rating"] = f"{amps} A"

    return change


def _fuse(amps: float) -> Callable[[Data], None]:
    def change(d: Data) -> None:
        d["strings"]["rail"]["fuse"] = f"{amps} A"

    return change


def _no_fuse(d: Data) -> None:
    # 100 W at 12 V is 8.3 A, more than the cable's 5 A.
    d["supplies"]["shed"]["rating"] = "100 W"
    del d["strings"]["rail"]["fuse"]
    _ampacity(5)(d)


def _one_switching_driver(loop_ohm: float) -> Callable[[Data], None]:
    """One switching driver of 10 W behind a loop: v = 6 V +- sqrt(36 V2 - 10 W x loop), a fold at 3.6 ohm."""

    def change(d: Data) -> None:
        d["parts"]["lamp"]["light"]["load"] = {
            "class": "constant-power",
            "power": ["10 W", "0 W", "0 W"],
            "efficiency": 1.0,
            "cutoff": "3 V",
        }
        d["parts"]["wire"]["cable"]["resistance"] = "1 ohm/m"
        rail = d["strings"]["rail"]
        rail["props"] = "1 * float"
        rail["lead"]["length"] = f"{loop_ohm / 2} m"
        del rail["span"]

    return change


def _absurd_wire(d: Data) -> None:
    # A hundred-millionth of a milliohm: in floats, no difference of voltages is left to make the current from.
    d["parts"]["wire"]["cable"]["resistance"] = "0.000001 ohm/m"
    d["parts"]["wire"]["cable"]["ampacity"] = "200 A"
    d["parts"]["twist"]["joint"] = {"resistance": "0 ohm", "rating": "200 A"}
    d["strings"]["rail"]["lead"]["length"] = "0.01 mm"
    d["strings"]["rail"]["span"]["length"] = "0.01 mm"


def _two_supplies(d: Data) -> None:
    d["supplies"]["barn"] = {"voltage": "12 V", "rating": "60 W", "limit": "constant"}
    d["strings"]["rail"]["feeds"] = [{"before": 3, "supply": "barn", "cable": "wire", "length": "2 m", "fuse": "2 A"}]


def _fed_again(d: Data) -> None:
    # Behind both feeds a fault draws through both fuses: 2 A + 2 A, more than the cable's 3 A.
    _ampacity(3)(d)
    d["strings"]["rail"]["feeds"] = [{"before": 3, "supply": "shed", "cable": "wire", "length": "2 m", "fuse": "2 A"}]


def _two_controllers(d: Data) -> None:
    d["controllers"]["hut"] = {"outputs": 1}
    d["strings"]["roof"] = d["strings"]["rail"] | {"output": "hut/1"}


def _wrong_order(d: Data) -> None:
    d["parts"]["lamp"]["light"]["order"] = "grb"
    d["controllers"]["box"]["orders"] = {1: "rgb"}


def _no_supply(d: Data) -> None:
    del d["strings"]["rail"]["supply"]


def _short_chain(d: Data) -> None:
    d["controllers"]["box"]["nodes_per_output"] = 3


def _slow_chain(d: Data) -> None:
    # 4 x 24 x 1.25 us + 1 ms = 1.12 ms.
    d["controllers"]["box"]["rate"] = "1000 Hz"
    d["parts"]["lamp"]["light"]["data"] = {"reset": "1 ms"}


def _one_universe(d: Data) -> None:
    # 4 x 50 cells of 3 slots are 600 slots.
    d["controllers"]["box"]["universes"] = 1
    d["kinds"]["float"]["fill"] = {"light": "lamp", "count": 50, "gang": False}
    d["parts"]["lamp"]["light"]["load"]["current"] = ["1 mA", "1 mA", "1 mA"]


def _other_plug(d: Data) -> None:
    d["kinds"]["float"]["pigtail"] = {"cable": "wire", "length": "150 mm", "plug": "plug-3pin-20awg"}
    d["strings"]["rail"]["span"]["joint"] = "plug-3pin-18awg"


def _made(name: str, **change: Any) -> Callable[[Data], None]:
    """A kind that is built with the mistake of that finding, all else about it sound."""
    wrong = {**SOUND_KIND, **change}

    def apply(d: Data) -> None:
        d["parts"] |= copy.deepcopy(PARTS)
        kind = {key: value for key, value in wrong.items() if value is not None}
        d["kinds"]["float"] = copy.deepcopy(kind)

    apply.__name__ = name
    return apply


def _outside(d: Data) -> None:
    d["parts"] |= copy.deepcopy(PARTS)
    # The ball is 140 mm high: the light would hang below it.
    d["kinds"]["float"] = {"shell": {**BALL}, "fill": {"light": "lamp", "positions": [["0 mm", "0 mm", "200 mm"]]}}


def _needle(d: Data) -> None:
    """A narrow beam along a dark-walled box: its far corners get next to nothing, and each finer mesh another nothing."""
    d["parts"] |= copy.deepcopy(PARTS)
    d["parts"]["lamp"] = {"light": {**PARTS["lamp"]["light"], "depth": "1 mm", "diameter": "1 mm", "beam": "10 deg"}}
    size = {"width": "400 mm", "depth": "200 mm", "height": "300 mm"}
    d["kinds"]["float"] = {
        "shell": {"shape": "box", **size, "transmittance": 0.3, "reflectance": 0.05},
        "fill": {"light": "lamp", "positions": [["-150 mm", "0 mm", "20 mm"]], "axes": [[1, 0.3, 0.5]]},
    }


def _far_short(d: Data) -> None:
    # 44 m there and back are 4.4 ohm, the spans 0.3 ohm, the joints 0.06 ohm: 2.52 A through 2 A, less than 135 %.
    d["strings"]["rail"]["lead"]["length"] = "44 m"


def _slow_fuse(d: Data) -> None:
    # 12 A through 7.5 A are 160 %, up to 50 s by ISO 8820-3; k2S2 of 0.345 mm2 is worn out after 11 s.
    d["supplies"]["shed"]["limit_current"] = "12 A"
    d["strings"]["rail"]["fuse"] = "7.5 A"
    _ampacity(5)(d)


def _big_fuse(d: Data) -> None:
    # 13.5 A behind 0.31 ohm: (12 V - 4.2 V) x 13.5 A = 105 W.
    d["supplies"]["shed"]["limit_current"] = "50 A"
    d["strings"]["rail"]["fuse"] = "10 A"


def _on_and_off(d: Data) -> None:
    # 130 % of 5 A through 2 A are 325 %, up to 0.6 s; the supply stays on for 0.2 s.
    del d["supplies"]["shed"]["limit"]


def _on_a_circuit(d: Data, breaker: str = "15 A", **supply: Any) -> None:
    d["mains"] = {"porch": {"voltage": "120 V", "breaker": breaker, "rcd": "6 mA"}}
    d["supplies"]["shed"] |= {"circuit": "porch", **supply}


def _loaded_circuit(breaker: str) -> Callable[[Data], None]:
    # 14.4 W at a tenth of efficiency and of power factor are 1440 VA, 12 A at 120 V.
    return lambda d: _on_a_circuit(d, breaker, efficiency=0.1, power_factor=0.1)


def _one_brighter(d: Data) -> None:
    """Two kinds alike but for their lights, of which one gives twice as much: its level is a half."""
    d["parts"] |= copy.deepcopy(PARTS)
    xy = [[0.7, 0.3], [0.2, 0.7], [0.14, 0.05]]
    d["parts"]["lamp"]["light"]["colour"] = {"flux": ["1 lm", "2 lm", "0.5 lm"], "xy": xy}
    d["parts"]["twice"] = copy.deepcopy(d["parts"]["lamp"])
    d["parts"]["twice"]["light"]["colour"]["flux"] = ["2 lm", "4 lm", "1 lm"]
    d["kinds"] = {"float": copy.deepcopy(SOUND_KIND), "ball": copy.deepcopy(SOUND_KIND)}
    d["kinds"]["ball"]["fill"]["light"] = "twice"
    d["strings"]["rail"]["props"] = ["2 * float", "2 * ball"]


MEASURED = MeasuredLight(1.1, 1.1, None, "photograph of 2026-11-30")


def _measured(d: Data) -> None:
    _one_brighter(d)
    d["levels"] = {"ball": "50 %"}
    d["readings"] = KindReadings({"float": MEASURED}, {})


def _changed_since(d: Data) -> None:
    d["readings"] = KindReadings({}, {"float": MEASURED.source})


def _far_apart(d: Data) -> None:
    # Four props 1.5 m apart on spans of 1 m.
    d["strings"]["rail"]["place"] = {"line": [["0 m", "0 m"], ["4.5 m", "0 m"]]}


def _taut(d: Data) -> None:
    # w L^2 / 8 d: 4 kg over 3 m with 5 cm of sag pull with about 300 N; the hook holds 20 kg.
    d["parts"]["eye"] = {"hook": {"holds": "20 kg"}}
    d["parts"]["lamp"]["mass"] = "1 kg"
    d["strings"]["rail"]["place"] = {"line": [["0 m", "0 m"], ["3 m", "0 m"]], "sag": "5 cm", "hook": "eye"}


CASES: dict[str, Callable[[Data], None]] = {
    "low-voltage": _low_voltage,
    "light-loss": _resistor_lights,
    "chromaticity-shift": _resistor_lights,
    "supply-load": _supply_rating(16),
    "supply-over": _supply_rating(12),
    "cable-over": _ampacity(1),
    "joint-over": _joint_rating(0.5),
    "fuse-over-cable": _ampacity(1.5),
    "fuse-over-joint": _joint_rating(1.5),
    "fuses-add-up": _fed_again,
    "fuse-load": _fuse(1.5),
    "fuse-blows": _fuse(1),
    "no-fuse": _no_fuse,
    "short-not-cleared": _far_short,
    "cable-overheats-in-short": _slow_fuse,
    "joint-can-smoulder": _big_fuse,
    "fuse-may-stay-whole": _on_and_off,
    "beyond-class-two": _supply_rating(61),
    "mains-over": _loaded_circuit("10 A"),
    "mains-load": _loaded_circuit("14 A"),
    "leakage-adds-up": lambda d: _on_a_circuit(d, leakage="3.1 mA"),
    "inrush-adds-up": lambda d: _on_a_circuit(d, inrush="100 A"),
    "no-steady-state": _one_switching_driver(4.0),
    "two-steady-states": _one_switching_driver(3.0),
    "not-solved": _absurd_wire,
    "joined-supplies": _two_supplies,
    "no-power": _no_supply,
    "chain-too-long": _short_chain,
    "rate-not-reached": _slow_chain,
    "universe-past-last": _one_universe,
    "universe-shared": _two_controllers,
    "colour-order": _wrong_order,
    "plug-mismatch": _other_plug,
    "light-not-computed": _outside,
    "light-not-settled": _needle,
    "light-measured": _measured,
    "reading-outdated": _changed_since,
    "kinds-unequal": _one_brighter,
    "light-does-not-fit": _made("opening", shell={**DRUM, "opening": "10 mm"}, carrier=None),
    "carrier-does-not-fit": _made("narrow", shell={**DRUM, "opening": "60 mm"}),
    "web-too-thin": _made("crowded", fill={"light": "lamp", "count": 16}),
    "gland-clamp": _made("thick", pigtail={"cable": "rope", "length": "1 m"}),
    "gland-two-cables": _made("single", gland={"part": "nut"}),
    "gland-clearance": _made("tight", gland={"part": "tight", "count": 2}),
    "gland-room": _made("thick_wall", shell={**DRUM, "wall": "5 mm"}, carrier={**DISC, "above_base": "40 mm"}),
    "hole-in-rain": _made("side", gland={"part": "nut", "count": 2, "at": "side"}),
    "gland-on-top": _made("on_top", hangs="tip down"),
    "drain-missing": _made("no_drain", drain={"at": "none"}),
    "drain-not-lowest": _made("high_drain", drain={"at": "tip"}),
    "drain-size": _made("small_drain", drain={"diameter": "2 mm"}),
    "hook-weak": _made("weak", hook="loop"),
    "cable-too-short": _far_apart,
    "hook-pull": _taut,
}


def case(code: str) -> Data:
    """The display that has this code's mistake."""
    data = sound()
    CASES[code](data)
    return data
