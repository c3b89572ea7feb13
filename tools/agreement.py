"""Published values beside ours: typed in from the standard or the book, computed by the package's own functions."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

import numpy as np

from hollowglow.analysis.circuit.power import solve_network
from hollowglow.analysis.data.addresses import SLOTS, assign
from hollowglow.analysis.data.analyse import frame_time_s
from hollowglow.analysis.prop.optics import PointLight, Sphere, Wall, enclosure, interior
from hollowglow.assembly import Network
from hollowglow.assembly.tables import LoadCharacteristics
from hollowglow.file.model.loads import CHARACTERISTICS, CLASSES
from hollowglow.physics import copper
from hollowglow.physics.colour import lightness
from tools.agreement_live import printed
from tools.agreement_places import eye, hung_cables, lengths
from tools.agreement_rows import EXACT, ROUNDED, Group, Row
from tools.agreement_safety import class_two, heat_of_shorts, opening_times

FOOT_M = 0.3048
KILOFOOT_M = 1000.0 * FOOT_M
INCH_M = 0.0254
BIT_S = 1.25e-6


def _per_kft(awg: int, stranded: bool, temperature_c: float) -> float:
    at_20 = copper.awg_resistance_ohm_per_m(awg, stranded=stranded)
    return copper.at_temperature(at_20, temperature_c) * KILOFOOT_M


def _gauges() -> Group:
    inches = {10: "0.1019", 12: "0.0808", 14: "0.0641", 16: "0.0508", 18: "0.0403", 20: "0.0320", 24: "0.0201"}
    rows = tuple(Row(f"{n} AWG, diameter", d, "in", copper.awg_diameter_m(n) / INCH_M) for n, d in inches.items())
    return Group("Gauge sizes", "ASTM B258 (as printed in copper wire tables)", rows)


def _solid_wire() -> Group:
    table = {10: "0.9989", 12: "1.588", 14: "2.525", 16: "4.016", 18: "6.385", 20: "10.15", 22: "16.14", 24: "25.67"}
    rows = tuple(Row(f"{n} AWG solid, 20 °C", r, "ohm/kft", _per_kft(n, False, 20.0)) for n, r in table.items())
    return Group("Solid wire", "NBS Handbook 100, copper wire tables", rows)


def _code_wire() -> Group:
    solid = {10: "1.21", 12: "1.93", 14: "3.07", 16: "4.89", 18: "7.77"}
    strands = {10: "1.24", 12: "1.98", 14: "3.14", 16: "4.99", 18: "7.95"}
    reason = "we take 2 % for stranding; the table's own columns lie 2.0 to 2.6 % apart"
    rows = [Row(f"{n} AWG solid, 75 °C", r, "ohm/kft", _per_kft(n, False, 75.0)) for n, r in solid.items()]
    rows += [
        Row(f"{n} AWG, 7 strands, 75 °C", r, "ohm/kft", _per_kft(n, True, 75.0), reason) for n, r in strands.items()
    ]
    return Group("Building wire", "NEC chapter 9 table 8, uncoated copper", tuple(rows))


def _flexible() -> Group:
    table = {0.5: "39", 0.75: "26", 1.0: "19.5", 1.5: "13.3", 2.5: "7.98", 4.0: "4.95"}
    reason = "taken over: a greatest value, real cable may have less"
    rows = tuple(
        Row(f"{a:g} mm², 20 °C", r, "ohm/km", 1e3 * copper.class5_resistance_ohm_per_m(a), reason)
        for a, r in table.items()
    )
    return Group("Flexible cable", "IEC 60228 table 3, class 5, plain copper", rows)


def _cord_drop() -> Group:
    table = {0.5: "93", 0.75: "62", 1.0: "46", 1.5: "32", 2.5: "19", 4.0: "12"}
    reason = "the table, in whole mV, allows 2 to 5 % more than twice the class 5 limit at 60 °C"
    rows = tuple(
        Row(f"{a:g} mm² cord, both conductors", r, "mV/(A m)", 2e3 * _hot(a, 60.0), reason) for a, r in table.items()
    )
    return Group("Voltage drop of cords", "BS 7671 table 4F3B", rows)


def _hot(area_mm2: float, temperature_c: float) -> float:
    return copper.at_temperature(copper.class5_resistance_ohm_per_m(area_mm2), temperature_c)


def _examples() -> Group:
    long_run = 2 * 100 * FOOT_M * copper.at_temperature(copper.awg_resistance_ohm_per_m(16, stranded=True), 75.0) * 4.0
    reason = "2 % for stranding where the table has 2.04 %"
    return Group(
        "A worked example",
        "electricians' training example on NEC chapter 9 table 8",
        (Row("16 AWG stranded, 75 °C, 100 ft one way, 4 A", "3.992", "V", long_run, reason),),
    )


def _temperature() -> Group:
    rows = (
        Row("R(75 °C)/R(20 °C)", "1.21615", "-", copper.at_temperature(1.0, 75.0), EXACT),
        Row("coefficient referred to 75 °C", "0.00323", "1/K", 0.00393 / copper.at_temperature(1.0, 75.0)),
    )
    return Group("Temperature of copper", "IEC 60028; NEC chapter 9 table 8, note 2", rows)


def _lightness() -> Group:
    table = {
        "0.001": "0.903296",
        "0.01": "8.99144",
        "0.1": "37.84243",
        "0.18": "49.49611",
        "0.5": "76.06926",
        "1": "100",
    }
    rows = tuple(Row(f"L* at Y/Yn = {y}", star, "-", float(lightness(float(y)))) for y, star in table.items())
    return Group("Lightness", "ISO/CIE 11664-4, worked out and cross-checked with colour-science", rows)


def _timing() -> Group:
    def chain(nodes: int, reset_s: float) -> float:
        return frame_time_s(np.full(nodes, BIT_S), np.full(nodes, 24.0), reset_s)

    def longest(rate_hz: float) -> float:
        nodes = 1
        while chain(nodes + 1, 300e-6) <= (1.0 + 1e-9) / rate_hz:
            nodes += 1
        return float(nodes)

    packed = assign(np.full(171, 3, dtype=np.int64), 0)
    rows = (
        Row("1 RGB node at 800 kbit/s", "30", "us", 1e6 * chain(1, 0.0), EXACT),
        Row("170 RGB nodes, 300 us reset", "5.40", "ms", 1e3 * chain(170, 300e-6), EXACT),
        Row("longest RGB chain at 30 Hz, 300 us reset", "1101", "nodes", longest(30.0), EXACT),
        Row("longest RGB chain at 40 Hz, 300 us reset", "823", "nodes", longest(40.0), EXACT),
        Row("longest RGB chain at 60 Hz, 300 us reset", "545", "nodes", longest(60.0), EXACT),
        Row("RGB cells in one universe", "170", "cells", float((packed // SLOTS == 0).sum()), EXACT),
    )
    source = "data sheets of single-wire LED drivers (24 bits of 1.25 us a node); ANSI E1.31-2018 (512 slots)"
    return Group("Data timing", source, rows)


def distributor(
    volts: float, steps_ohm: list[float], loads_a: list[float], far_end_v: float | None = None
) -> tuple[list[float], float]:
    """Solve a two-wire distributor of constant-current loads.

    Args:
        volts: at the near end, V.
        steps_ohm: resistance of one conductor up to each load, from the one before it, ohm.
        loads_a: current of each load, A.
        far_end_v: voltage of a second source at the last load, V; None where there is none.

    Returns:
        The voltage across each load (V), and the power lost in both conductors (W).
    """
    n = len(loads_a)
    sources = [volts] if far_end_v is None else [volts, far_end_v]
    first = 1 + len(sources)
    places = np.arange(first, first + n)
    a = np.concatenate([[1], places[:-1]])
    b = places.copy()
    ohm = np.array(steps_ohm)
    if far_end_v is not None:
        a, b = np.append(a, 2), np.append(b, places[-1])
        ohm = np.append(ohm, 1e-9)
    # A light that is saturated from a millivolt upward draws one current at every voltage here.
    fillers = {name: column for one in CHARACTERISTICS for name, column in one.COLUMNS.items()}
    columns = {name: np.full((n, 1) if one.by_colour else n, one.filler) for name, one in fillers.items()}
    columns |= {"full_a": np.array(loads_a)[:, None], "saturation_v": np.full(n, 1e-3)}
    characteristics = LoadCharacteristics(np.full(n, CLASSES.index("constant-current")), np.zeros(n), columns)
    duty = np.ones((n, 1))
    network = Network(
        places=first + n,
        supply_v=np.array(sources),
        supply_ohm=np.zeros(len(sources)),
        edge_a=a,
        edge_b=b,
        edge_plus_ohm=ohm,
        edge_minus_ohm=ohm,
        load_place=places,
        load_characteristic=np.arange(n),
        load_count=np.ones(n),
        characteristics=characteristics,
        duty=duty,
    )
    point = solve_network(network, duty).point
    lost = float(np.sum(point.edge_plus_a**2 * ohm) + np.sum(point.edge_minus_a**2 * ohm))
    return (point.plus_v - point.minus_v)[places].tolist(), lost


def _ladders() -> Group:
    def drop(n: int) -> float:
        # 1 A and 1 ohm there and back in all, so that the drop is the ratio itself.
        volts, _ = distributor(12.0, [0.5 / n] * n, [1.0 / n] * n)
        return 12.0 - volts[-1]

    ratios = {1: "1", 2: "0.75", 3: "0.666667", 5: "0.6", 10: "0.55", 25: "0.52", 100: "0.505"}
    rows = tuple(
        Row(f"{n} equal loads, equally spaced", r, "of I R", drop(n), ROUNDED if n == 3 else EXACT)
        for n, r in ratios.items()
    )
    return Group("Drop at the far end over total current times total resistance", "the closed form (N + 1)/(2N)", rows)


def _books() -> Iterator[Group]:
    book = "V. K. Mehta and R. Mehta, Principles of Power System, chapter 13"
    metres = [500, 500, 600, 400]
    volts, _ = distributor(300.0, [0.01 * m / 1000 for m in metres], [100.0, 150.0, 200.0, 50.0])
    places = ("C", "D", "E", "B")
    printed = ("295", "291", "288", "287.6")
    rows = [
        Row(f"example 13.1, voltage at {place}", text, "V", v, EXACT)
        for place, text, v in zip(places, printed, volts, strict=True)
    ]
    two, _ = distributor(500.0, [0.04, 0.04], [100.0, 200.0])
    rows += [
        Row("two loads, 2 km apart, mid point", "476", "V", two[0], EXACT),
        Row("two loads, 2 km apart, far end", "460", "V", two[1], EXACT),
    ]
    yield Group(
        "Distributors with single loads", f"{book} (two loads: an exercise of an engineering course)", tuple(rows)
    )
    n = 2000
    half = [0.5] + [1.0] * (n - 1)

    def uniform(
        length_m: float, a_per_m: float, ohm_per_m: float, volts: float, both_ends: bool
    ) -> tuple[list[float], float]:
        step = length_m / n
        steps = [share * step * ohm_per_m for share in half]
        loads = [a_per_m * step] * n
        if both_ends:
            return distributor(volts, [*steps, 0.5 * step * ohm_per_m], [*loads, 0.0], volts)
        return distributor(volts, steps, loads)

    reason = f"{n:,} lights stand for a load without gaps"
    one_end, lost = uniform(200.0, 2.0, 0.3e-3, 240.0, False)
    fed_twice, lost_twice = uniform(1000.0, 0.5, 0.05e-3, 220.0, True)
    at_150 = int(150.0 / 200.0 * n)
    mid = 240.0 - (one_end[at_150 - 1] + one_end[at_150]) / 2.0
    total_a, loop_ohm = 400.0, 0.12
    loss_ratio = lost / (total_a**2 * loop_ohm)
    yield Group(
        "Distributors with an even load",
        f"{book} (even loads; example 13.14 for both ends)",
        (
            Row("fed at one end, drop at 150 of 200 m", "22.5", "V", mid, reason),
            Row("fed at one end, greatest drop", "24", "V", 240.0 - one_end[-1], reason),
            Row("fed at one end, loss over I² R", "0.333333", "-", loss_ratio, reason),
            Row("fed at both ends, greatest drop", "6.25", "V", 220.0 - min(fed_twice), reason),
            Row("fed at both ends, loss over I² R", "0.083333", "-", lost_twice / (500.0**2 * 0.1), reason),
        ),
    )


def _shells() -> Group:
    radius, tau, rho, flux = 0.07, 0.4, 0.45, 1.0
    light = PointLight(np.array([0.02, 0.01, 0.05]), np.array([0.3, 0.0, 1.0]), 120.0, (flux,))
    glow = interior(enclosure(Sphere(2.0 * radius), None, 600), Wall((tau,), (rho,))).glow([light])
    thrown = (glow.irradiance_lx - glow.direct_lx)[:, 0]
    # A light of Lambert's law shines evenly on a sphere that it sits on; anywhere inside, what is thrown about is even.
    closed = rho * flux / (4.0 * math.pi * radius**2 * (1.0 - rho))
    rows = (
        Row(
            "light out of a diffuse sphere over light in, 0.40 / (1 - 0.45)",
            f"{tau / (1.0 - rho):.13g}",
            "-",
            glow.light_output_ratio,
            EXACT,
        ),
        Row("least light thrown about in it, 1 lm", f"{closed:.13g}", "lx", float(thrown.min()), EXACT),
        Row("most light thrown about in it, 1 lm", f"{closed:.13g}", "lx", float(thrown.max()), EXACT),
    )
    return Group(
        "Light inside a sphere", "integrating-sphere theory: tau / (1 - rho), rho phi / (4 pi R² (1 - rho))", rows
    )


def _live() -> Group:
    rows = tuple(Row(*values, EXACT) for values in printed())
    return Group("Light over the network", "ANSI E1.31-2018 (edition followed), tables and clauses as named", rows)


def groups() -> list[Group]:
    """Return every group of the agreement table."""
    made: list[Callable[[], Group]] = [
        _gauges,
        _solid_wire,
        _code_wire,
        _flexible,
        _temperature,
        _cord_drop,
        _examples,
        _ladders,
    ]
    after: list[Callable[[], Group]] = [
        _lightness,
        _shells,
        _timing,
        _live,
        opening_times,
        heat_of_shorts,
        class_two,
        hung_cables,
        lengths,
        eye,
    ]
    return [*(make() for make in made), *_books(), *(make() for make in after)]
