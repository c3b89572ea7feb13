"""The built-in parts: complete, named by one rule, with a basis for every number and believable values."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from importlib.resources import files
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from hollowglow.file.model.kind import DEFAULT_CABLE
from hollowglow.file.model.loads import ConstantCurrentLoad, ConstantPowerLoad, ResistorLoad
from hollowglow.file.model.loads.constant_current import constant_current
from hollowglow.file.model.loads.constant_power import constant_power
from hollowglow.file.model.loads.resistor import resistor as resistor_current
from hollowglow.file.model.parts import BASES, Cable, Light, Part
from hollowglow.file.reading.catalogue import raw_catalogue
from hollowglow.file.reading.load import load_part
from hollowglow.file.text.source import Source, parse_text
from hollowglow.physics import colour, copper, loads

ROLES_OF_FILE = {
    "cables.yaml": {"cable", "extension"},
    "fittings.yaml": {"gland", "hook", "consumable"},
    "joints.yaml": {"joint"},
    "lights.yaml": {"light"},
    "modules.yaml": {"light"},
    "protection.yaml": {"fuse"},
    "supplies.yaml": {"supply"},
}
NOT_NUMBERS = {"about", "source", "basis", "mating", "thread"}
FOLDER = files("hollowglow.file") / "catalogue"
PARTS = {name: load_part(name) for name in raw_catalogue()}
LIGHTS = {name: part.light for name, part in PARTS.items() if part.light is not None}


def text_of(file: str) -> str:
    return (FOLDER / file).read_text(encoding="utf-8")


def source_of(file: str) -> Source:
    return parse_text(text_of(file), file)


def having(role: str) -> dict[str, Part]:
    return {name: part for name, part in PARTS.items() if part.role == role}


def numbers(raw: Any, path: tuple[str, ...] = ()) -> Iterator[tuple[str, ...]]:
    """The path of every number in plain data; a list counts as one place."""
    if isinstance(raw, Mapping):
        for key, value in raw.items():
            if key not in NOT_NUMBERS:
                yield from numbers(value, (*path, key))
    elif isinstance(raw, list):
        if any(True for item in raw for _ in numbers(item)):
            yield path
    elif not isinstance(raw, bool) and re.match(r"\s*[+-]?\.?\d", str(raw)):
        yield path


def basis_of(raw: Mapping[str, Any], path: tuple[str, ...]) -> str | None:
    """The basis of one number: the nearest dotted key above it, else the default of the part."""
    basis = raw.get("basis")
    if not isinstance(basis, Mapping):
        return basis
    for end in range(len(path), 0, -1):
        if (key := ".".join(path[:end])) in basis:
            return str(basis[key])
    return basis.get("default")


def full_white_w(light: Light, voltage_v: float) -> float:
    """What a light takes with every colour full, W."""
    load, v = light.load, np.array([voltage_v])

    def one(value: float) -> np.ndarray[Any, np.dtype[np.float64]]:
        return np.array([[value]])

    if isinstance(load, ConstantCurrentLoad):
        draw = constant_current(v, np.array([load.current]), np.array([load.turn_on]), one(load.saturation))
    elif isinstance(load, ResistorLoad):
        forward, resistor = np.array([load.forward]), np.array([load.resistor])
        draw = resistor_current(v, one(load.series), one(load.parallel), forward, resistor)
    else:
        running = v >= load.cutoff
        draw = constant_power(v, np.array([load.power]), one(load.efficiency), one(load.cutoff), running)
    return voltage_v * float(draw.current.sum() + loads.idle(v, np.array([load.idle])).current.sum())


def area_m2(cable: Cable) -> float:
    assert cable.size is not None
    if cable.size.awg is not None:
        return copper.awg_area_m2(cable.size.awg)
    assert cable.size.mm2 is not None
    return cable.size.mm2 * 1e-6


def rgb_pucks(suffix: str) -> list[Light]:
    found = [LIGHTS[name] for name in LIGHTS if re.fullmatch(rf"puck-\d+led-{suffix}", name)]
    return sorted(found, key=lambda light: light.emitters)


def test_the_catalogue_has_its_seven_files() -> None:
    assert {entry.name for entry in FOLDER.iterdir() if entry.name.endswith(".yaml")} == set(ROLES_OF_FILE)


@pytest.mark.parametrize("file", ROLES_OF_FILE)
def test_a_file_says_what_it_holds_and_holds_only_that(file: str) -> None:
    source = source_of(file)
    assert text_of(file).startswith("# ")
    assert source.problems == []
    assert list(source.data) == ["parts"]
    assert {PARTS[name].role for name in source.data["parts"]} <= ROLES_OF_FILE[file]


def test_no_two_files_name_the_same_part() -> None:
    names = [name for file in ROLES_OF_FILE for name in source_of(file).data["parts"]]
    assert sorted(set(names)) == sorted(names)
    assert sorted(names) == sorted(PARTS)


def test_names_are_plain_and_carry_no_part_number() -> None:
    assert [name for name in PARTS if not re.fullmatch(r"[a-z0-9.-]+", name)] == []
    assert [name for name in PARTS if re.search(r"\d{4}|\b[a-z]{2,3}\d{3}", name)] == []


@pytest.mark.parametrize("name", PARTS)
def test_a_part_is_told_in_one_sentence(name: str) -> None:
    assert re.fullmatch(r"[A-Z][^.]*(\.\d[^.]*)*\.", PARTS[name].about), PARTS[name].about


@pytest.mark.parametrize("name", PARTS)
def test_a_part_has_a_price_that_nobody_could_call_a_standard(name: str) -> None:
    assert PARTS[name].price is not None
    assert basis_of(raw_catalogue()[name], ("price",)) == "typical"


@pytest.mark.parametrize("name", PARTS)
def test_every_number_of_a_part_has_a_basis(name: str) -> None:
    raw = raw_catalogue()[name]
    assert {basis_of(raw, path) for path in numbers(raw)} <= set(BASES)
    assert PARTS[name].source


@pytest.mark.parametrize("name", [n for n, raw in raw_catalogue().items() if isinstance(raw["basis"], dict)])
def test_a_basis_table_has_a_default_and_names_numbers_that_exist(name: str) -> None:
    raw = raw_catalogue()[name]
    places = {".".join(path) for path in numbers(raw)}
    assert "default" in raw["basis"]
    assert set(raw["basis"]) - {"default"} <= places


@pytest.mark.parametrize("name", PARTS)
def test_what_is_called_standard_names_the_standard(name: str) -> None:
    raw = raw_catalogue()[name]
    bases = {basis_of(raw, path) for path in numbers(raw)}
    named = re.search(r"\b(ASTM [A-Z]\d+|DIN \d+|EN \d+|IEC \d+|ISO \d+)", PARTS[name].source)
    assert ("standard" in bases) == (named is not None)


@pytest.mark.parametrize("name", LIGHTS)
def test_a_light_says_how_bright_and_how_large_it_is(name: str) -> None:
    light = LIGHTS[name]
    assert light.colour is not None
    assert len(light.colour.flux) == len(light.colour.xy) == light.colours
    assert None not in (light.voltage, light.minimum, light.diameter, light.depth, light.beam)
    assert light.data.bits in (None, 8 * light.colours)
    assert (light.data.bit_time, light.data.reset) == pytest.approx((1.25e-6, 300e-6))


@pytest.mark.parametrize("name", LIGHTS)
def test_a_light_of_three_colours_makes_a_white_that_looks_white(name: str) -> None:
    given = LIGHTS[name].colour
    assert given is not None
    x, y, z = colour.mix_xyz(given.flux, given.xy)
    assert 0.22 < x / (x + y + z) < 0.40
    assert 0.20 < y / (x + y + z) < 0.40


@pytest.mark.parametrize("name", LIGHTS)
def test_a_light_is_named_for_its_leds_and_its_voltage(name: str) -> None:
    light = LIGHTS[name]
    match = re.fullmatch(r"(?:bullet-12mm|puck-(\d+)led)-(\d+)v(-rgbw|-constant-power|-resistor)?", name)
    assert match is not None
    assert light.emitters == int(match.group(1) or 1)
    assert light.voltage == float(match.group(2))
    assert light.colours == (4 if match.group(3) == "-rgbw" else 3)
    if match.group(3) == "-constant-power":
        assert isinstance(light.load, ConstantPowerLoad)
    elif match.group(1) or match.group(3) == "-resistor":
        assert isinstance(light.load, ResistorLoad)
    else:
        assert isinstance(light.load, ConstantCurrentLoad)
    if isinstance(light.load, ResistorLoad):
        assert light.emitters == light.load.series * light.load.parallel


@pytest.mark.parametrize("name", LIGHTS)
def test_a_light_works_at_its_voltage_and_still_at_its_lowest(name: str) -> None:
    light = LIGHTS[name]
    load, lowest = light.load, light.minimum
    assert light.voltage is not None
    assert lowest is not None
    assert lowest < light.voltage
    if isinstance(load, ConstantCurrentLoad):
        assert max(load.turn_on) + load.saturation <= lowest
    elif isinstance(load, ResistorLoad):
        assert load.series * max(load.forward) < lowest
        over = [light.voltage - load.series * forward for forward in load.forward]
        chain = [volts / ohm for volts, ohm in zip(over, load.resistor, strict=True)]
        assert all(0.010 < amps < 0.020 for amps in chain)
    else:
        assert load.cutoff < lowest


# The limits are those of the sorts of light, not of one data sheet.
@pytest.mark.parametrize(
    ("name", "least_w", "most_w"),
    [
        ("bullet-12mm-5v", 0.25, 0.30),
        ("bullet-12mm-5v-rgbw", 0.25, 0.40),
        ("bullet-12mm-12v", 0.60, 0.70),
        ("bullet-12mm-12v-resistor", 0.50, 0.70),
        ("bullet-12mm-12v-constant-power", 0.15, 0.30),
        ("bullet-12mm-12v-rgbw", 0.60, 0.80),
        ("puck-3led-12v", 0.5, 0.8),
        ("puck-6led-12v", 1.0, 1.6),
        ("puck-9led-12v", 1.5, 2.5),
        ("puck-12led-12v", 2.0, 3.2),
        ("puck-3led-12v-constant-power", 0.4, 0.8),
        ("puck-6led-12v-constant-power", 0.8, 1.6),
        ("puck-9led-12v-constant-power", 1.2, 2.5),
        ("puck-12led-12v-constant-power", 1.6, 3.2),
        ("puck-3led-5v", 0.5, 0.8),
        ("puck-12led-24v", 2.0, 3.2),
    ],
)
def test_full_white_takes_a_believable_power(name: str, least_w: float, most_w: float) -> None:
    light = LIGHTS[name]
    assert light.voltage is not None
    assert least_w < full_white_w(light, light.voltage) < most_w


# Worked out on paper from Ohm's law and the numbers of the part.
@pytest.mark.parametrize(
    ("name", "power_w"),
    [
        ("bullet-12mm-5v", 5 * (3 * 0.018 + 0.001)),
        ("bullet-12mm-12v", 12 * (3 * 0.0175 + 0.0012)),
        ("bullet-12mm-12v-resistor", 12 * (10 / 620 + 9 / 560 + 8.9 / 560 + 0.001)),
        ("bullet-12mm-12v-constant-power", 0.146 / 0.80 + 12 * 0.0015),
        ("puck-9led-12v", 12 * (3 * (6 / 390 + 3 / 180 + 2.7 / 180) + 0.001)),
        ("puck-12led-24v", 24 * (2 * (12 / 820 + 6 / 390 + 5.4 / 360) + 0.001)),
    ],
)
def test_full_white_takes_what_paper_says(name: str, power_w: float) -> None:
    light = LIGHTS[name]
    assert light.voltage is not None
    assert full_white_w(light, light.voltage) == pytest.approx(power_w, rel=1e-9)


def test_the_list_of_believable_powers_leaves_no_light_out() -> None:
    marks = test_full_white_takes_a_believable_power.pytestmark  # type: ignore[attr-defined]
    assert sorted(case[0] for case in marks[0].args[1]) == sorted(LIGHTS)


@pytest.mark.parametrize("name", LIGHTS)
def test_a_light_gives_believable_light_for_its_power(name: str) -> None:
    light = LIGHTS[name]
    assert light.voltage is not None
    assert light.colour is not None
    assert 5.0 < sum(light.colour.flux) / full_white_w(light, light.voltage) < 60.0


@pytest.mark.parametrize("suffix", ["12v", "12v-constant-power"])
def test_a_module_with_more_leds_gives_more_light_and_is_larger(suffix: str) -> None:
    pucks = rgb_pucks(suffix)
    assert [light.emitters for light in pucks] == [3, 6, 9, 12]
    for small, large in pairwise(pucks):
        assert small.colour is not None
        assert large.colour is not None
        assert small.diameter is not None
        assert large.diameter is not None
        assert small.diameter < large.diameter
        assert sum(small.colour.flux) < sum(large.colour.flux)


def test_the_cable_that_stands_in_where_none_is_named_exists() -> None:
    cable = PARTS[DEFAULT_CABLE].cable
    assert cable is not None
    assert cable.cores == 3


@pytest.mark.parametrize("name", having("cable"))
def test_a_cable_is_named_for_its_cores_and_its_size(name: str) -> None:
    cable = PARTS[name].cable
    assert cable is not None
    match = re.fullmatch(r"(cable|feed)-(\d)x(.+)", name)
    assert match is not None
    assert cable.cores == int(match.group(2)) == (3 if match.group(1) == "cable" else 2)
    written = match.group(3).replace("awg", " AWG").replace("mm2", " mm2").replace("1.0 ", "1 ")
    assert str(cable.size) == written


@pytest.mark.parametrize("cores", [2, 3])
@pytest.mark.parametrize("metric", [False, True])
def test_more_copper_means_a_thicker_heavier_dearer_cable(cores: int, metric: bool) -> None:
    chosen = [
        (part, part.cable)
        for name, part in having("cable").items()
        if part.cable is not None and part.cable.cores == cores and name.endswith("mm2") is metric
    ]
    chosen.sort(key=lambda pair: area_m2(pair[1]))
    assert len(chosen) >= 2
    for (thin_part, thin), (thick_part, thick) in pairwise(chosen):
        assert thin.diameter is not None
        assert thick.diameter is not None
        assert thin.diameter < thick.diameter
        assert (thin_part.mass or 0.0) < (thick_part.mass or 0.0)
        assert (thin_part.price or 0.0) < (thick_part.price or 0.0)


@pytest.mark.parametrize("name", having("cable"))
def test_a_cable_outweighs_its_copper_and_has_room_for_it(name: str) -> None:
    part = PARTS[name]
    cable = part.cable
    assert cable is not None
    assert cable.diameter is not None
    assert part.mass is not None
    copper_m2 = cable.cores * area_m2(cable)
    # 8890 kg/m3 is the density of copper in IEC 60028.
    assert 1.0 < part.mass / (copper_m2 * 8890.0) < 4.5
    assert copper_m2 < 0.4 * np.pi / 4.0 * cable.diameter**2


@pytest.mark.parametrize("name", having("extension"))
def test_an_extension_is_made_of_a_cable_and_a_plug_of_its_size(name: str) -> None:
    extension = PARTS[name].extension
    assert extension is not None
    match = re.fullmatch(r"extension-(\d+)awg-([\d.]+)(m|ft)", name)
    assert match is not None
    gauge, length, unit = match.groups()
    assert extension.length == pytest.approx(float(length) * (1.0 if unit == "m" else 0.3048))
    cable, plug = PARTS[extension.cable].cable, PARTS[extension.plug].joint
    assert cable is not None
    assert cable.cores == 3
    assert str(cable.size) == f"{gauge} AWG"
    assert plug is not None
    assert plug.sort == "plug"
    assert plug.mating is not None
    assert plug.mating.startswith(f"3-pin {gauge} AWG")


@pytest.mark.parametrize("gauge", [18, 20])
def test_extensions_come_in_the_stock_lengths(gauge: int) -> None:
    prefix = f"extension-{gauge}awg-"
    lengths = {name.removeprefix(prefix) for name in having("extension") if name.startswith(prefix)}
    assert lengths == {"0.5m", "1m", "2m", "3m", "5m", "1ft", "2ft", "5ft", "10ft", "20ft"}


def test_every_plug_and_nothing_else_names_the_shape_it_mates_with() -> None:
    joints = {name: part.joint for name, part in having("joint").items() if part.joint is not None}
    mates = {name: joint.mating for name, joint in joints.items() if joint.sort == "plug"}
    assert None not in mates.values()
    assert len(set(mates.values())) == len(mates)
    assert [name for name, joint in joints.items() if joint.sort != "plug" and joint.mating is not None] == []
    assert {joint.sort for joint in joints.values()} == {"splice", "plug", "terminal"}


@pytest.mark.parametrize("name", having("joint"))
def test_a_joint_at_its_rating_stays_cool(name: str) -> None:
    joint = PARTS[name].joint
    assert joint is not None
    assert joint.rating is not None
    assert joint.rating * joint.resistance <= 0.05
    assert joint.rating**2 * joint.resistance <= 1.0


@pytest.mark.parametrize("name", having("fuse"))
def test_a_fuse_is_named_for_its_rating_and_drops_about_a_tenth_of_a_volt(name: str) -> None:
    fuse = PARTS[name].fuse
    assert fuse is not None
    match = re.fullmatch(r"(holder-)?blade-([\d.]+)a", name)
    assert match is not None
    assert fuse.rating == float(match.group(2))
    assert 0.05 < fuse.rating * fuse.resistance < 0.12


# ISO 8820-3, type C: the ratings up to 15 A.
@pytest.mark.parametrize("prefix", ["blade-", "holder-blade-"])
def test_fuses_come_in_the_standard_ratings(prefix: str) -> None:
    fuses = [part.fuse for name, part in having("fuse").items() if re.fullmatch(rf"{prefix}[\d.]+a", name)]
    assert [fuse.rating for fuse in fuses if fuse is not None] == [1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0]
    ohms = [fuse.resistance for fuse in fuses if fuse is not None]
    assert ohms == sorted(ohms, reverse=True)


@pytest.mark.parametrize("name", having("supply"))
def test_a_supply_is_named_for_its_numbers_and_sags_little(name: str) -> None:
    supply = PARTS[name].supply
    assert supply is not None
    match = re.fullmatch(r"supply-(\d+)v-(\d+)w", name)
    assert match is not None
    assert (supply.voltage, supply.rating) == (float(match.group(1)), float(match.group(2)))
    sag_v = supply.rating / supply.voltage * supply.resistance
    assert 0.001 < sag_v / supply.voltage < 0.02


# DIN 40430: outside diameter in mm and threads per inch.
@pytest.mark.parametrize(("name", "diameter_mm", "per_inch"), [("gland-pg7", 12.5, 20), ("gland-pg9", 15.2, 18)])
def test_pg_glands_agree_with_din_40430(name: str, diameter_mm: float, per_inch: int) -> None:
    gland = PARTS[name].gland
    assert gland is not None
    assert gland.thread == name.removeprefix("gland-").upper()
    assert gland.thread_diameter == pytest.approx(diameter_mm / 1000, rel=1e-9)
    assert gland.pitch == pytest.approx(0.0254 / per_inch, abs=0.5e-6)


# EN 50262, table 1: mounting hole in mm; the pitch is that of EN 60423.
@pytest.mark.parametrize(("name", "thread_mm", "hole_mm"), [("gland-m12", 12.0, 12.5), ("gland-m16", 16.0, 16.5)])
def test_metric_glands_agree_with_en_50262(name: str, thread_mm: float, hole_mm: float) -> None:
    gland = PARTS[name].gland
    assert gland is not None
    assert gland.thread == name.removeprefix("gland-").upper()
    assert gland.thread_diameter == pytest.approx(thread_mm / 1000, rel=1e-9)
    assert gland.hole == pytest.approx(hole_mm / 1000, rel=1e-9)
    assert gland.pitch == pytest.approx(0.0015, rel=1e-9)


@pytest.mark.parametrize("name", having("gland"))
def test_a_gland_goes_through_its_hole_and_grips_a_cable_of_the_catalogue(name: str) -> None:
    gland = PARTS[name].gland
    assert gland is not None
    assert gland.thread_diameter is not None
    assert 0.0 < gland.hole - gland.thread_diameter < 0.0007
    low, high = gland.clamp
    assert low < high < gland.thread_diameter
    cables = [part.cable for part in having("cable").values() if part.cable is not None]
    assert any(cable.diameter is not None and low <= cable.diameter <= high for cable in cables)


def test_hooks_hold_more_where_they_are_of_metal() -> None:
    hooks = [part.hook for part in having("hook").values() if part.hook is not None]
    plastic = [hook.holds for hook in hooks if not hook.metal]
    metal = [hook.holds for hook in hooks if hook.metal]
    assert plastic == [0.3]
    assert len(metal) == 2
    assert min(metal) > max(plastic)
