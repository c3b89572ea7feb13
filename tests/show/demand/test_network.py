"""Many frames at once against one frame at a time: the plan's own solver, and ngspice on a circuit of its own."""

from typing import Any

import numpy as np
import pytest

from hollowglow.analysis.circuit.power import analyse, solve_network
from hollowglow.show.demand import Demand
from tests.outside.displays import random_display
from tests.outside.spice import netlist, quantity, solve
from tests.show.demand.samples import built, full_solver, load_duties, random_frames, sample, with_colours

VOLTS = 1e-6


def check_against_full(demand: Demand, count: int, seed: int) -> None:
    frames = random_frames(demand, count, seed)
    drawn = demand.solve(frames)
    network, assembly = demand.spread, demand.assembly
    place = network.load_place
    for k, frame in enumerate(frames):
        point = full_solver(demand, frame).point
        across = point.plus_v[place] - point.minus_v[place]
        for row in range(len(assembly.strings.names)):
            own = demand.circuit.alive & (assembly.load_string == row)
            if own.any():
                assert drawn.lowest_v[k, row] == pytest.approx(float(across[own].min()), abs=VOLTS)
        amps = 1e-6 * max(1.0, float(np.nansum(point.supply_a)))
        np.testing.assert_allclose(drawn.supply_a[k], point.supply_a, rtol=0, atol=amps)
        np.testing.assert_allclose(drawn.fuse_a[k], point.edge_plus_a[assembly.fuses.edge], rtol=0, atol=amps)
        load = network.load_count * point.load_a
        for row in range(len(assembly.strings.names)):
            own = assembly.load_string == row
            assert drawn.string_a[k, row] == pytest.approx(float(load[own].sum()), abs=amps)
            assert drawn.string_w[k, row] == pytest.approx(float((load * across)[own].sum()), abs=12 * amps)


@pytest.mark.parametrize("switching", [False, True])
def test_pulses_that_coincide_are_those_of_the_plan(switching: bool) -> None:
    data = sample(switching=switching)
    data["levels"] = {"float": "40 %"}
    demand = Demand.of(built(data))
    frames = random_frames(demand, 6, 4)
    found = demand.solve(frames, pulses=True).lowest_v
    plan = analyse(demand.assembly)
    for row in range(len(demand.assembly.strings.names)):
        own = plan.alive & (demand.assembly.load_string == row)
        assert found[0, row] == pytest.approx(float(plan.coincident_v[own].min()), abs=VOLTS)
    for k, frame in enumerate(frames):
        duty = np.where(load_duties(demand, frame) > 0.0, 1.0, 0.0)
        point = solve_network(demand.spread, duty).point
        across = point.plus_v[demand.spread.load_place] - point.minus_v[demand.spread.load_place]
        own = demand.circuit.alive & (demand.assembly.load_string == 0)
        assert found[k, 0] == pytest.approx(float(across[own].min()), abs=VOLTS)


@pytest.mark.parametrize("seed", range(12))
def test_random_frames_of_random_displays_agree_with_the_plans_solver(seed: int) -> None:
    check_against_full(Demand.of(built(random_display(seed))), 12, seed)


@pytest.mark.parametrize("switching", [False, True])
@pytest.mark.parametrize("lead_m", [1.0, 8.0, 25.0])
def test_so_do_those_of_strings_that_sag(switching: bool, lead_m: float) -> None:
    check_against_full(Demand.of(built(sample(switching=switching, lead_m=lead_m))), 20, 5)


def test_places_with_several_cells_take_the_sum() -> None:
    data = sample()
    data["kinds"]["float"]["fill"]["gang"] = False
    check_against_full(Demand.of(built(data)), 20, 6)


def test_equal_frames_are_solved_once_and_told_alike() -> None:
    demand = Demand.of(built(sample()))
    frames = random_frames(demand, 4, 1)
    drawn = demand.solve(frames[[0, 1, 2, 0, 3, 2]])
    alone = demand.solve(frames)
    for name in ("supply_a", "lowest_v", "light_lm"):
        assert (getattr(drawn, name) == getattr(alone, name)[[0, 1, 2, 0, 3, 2]]).all()


def test_no_frames_draw_nothing() -> None:
    demand = Demand.of(built(sample()))
    assert len(demand.solve(random_frames(demand, 1, 1)[:0])) == 0


def test_a_collapse_is_recognised_and_said() -> None:
    # One 100 W driver behind 0.5 ohm at 12 V: V^2/4R = 72 W is the most that this line can carry.
    data: dict[str, Any] = sample()
    data["supplies"]["shed"]["resistance"] = "0.5 ohm"
    data["parts"]["constant-power"]["light"]["load"] = {
        "class": "constant-power", "power": ["40 W", "30 W", "30 W"], "efficiency": 1.0, "cutoff": "2 V"
    }  # fmt: skip
    data["kinds"]["puck"]["fill"]["count"] = 1
    data["strings"] = {
        "one": {"output": "box/1", "supply": "shed", "props": "puck", "lead": {"cable": "thin", "length": "1 mm"}}
    }
    demand = Demand.of(built(data))
    half = demand.addresses.full() // 2
    drawn = demand.solve(np.stack([demand.addresses.full(), half, demand.addresses.dark()]))
    assert drawn.collapsed.tolist() == [True, False, False]
    # Half of 100 W: the upper root of v^2 - 12 v + R P = 0 with R = 0.5 ohm and 0.12 mohm of lead, twice.
    power = 100.0 * 127 / 255
    ohm = 0.5 + 2 * 0.06e-3
    assert drawn.lowest_v[1, 0] == pytest.approx((12 + np.sqrt(144 - 4 * ohm * power)) / 2, abs=1e-6)


def test_no_light_is_lost_where_drivers_are_saturated_and_some_where_they_sag() -> None:
    made = []
    for lead_m in (0.1, 25.0):
        data = sample(lead_m=lead_m)
        data["strings"]["rail"]["props"] = "2 * float" if lead_m < 1.0 else "9 * float"
        del data["strings"]["roof"]
        made.append(Demand.of(built(data)))
    short, long = made
    assert short.solve(short.addresses.full()[None]).light_lost[0] == pytest.approx(0.0, abs=1e-12)
    assert long.solve(long.addresses.full()[None]).light_lost[0] > 0.1


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_power_of_a_frame_is_that_of_ngspice(seed: int) -> None:
    """Each frame becomes a display whose full white is that frame, written as a circuit without our code."""
    data = sample()
    demand = Demand.of(built(data))
    rng = np.random.default_rng(seed)
    colours = rng.integers(1, 256, (demand.addresses.cells, 3)).astype(np.uint8)
    drawn = demand.solve(demand.addresses.frame(colours)[None])
    assert drawn.supply_w[0, 0] == pytest.approx(spice_power(data, colours, demand), rel=1e-5)


def spice_power(data: dict[str, Any], colours: np.ndarray, demand: Demand) -> float:
    """The power that ngspice finds for one frame: supply voltage times the sum of the currents of all lights, W."""
    first = demand.addresses.first_cell
    names = list(data["strings"])
    by_string = {name: colours[first[i] : first[i + 1]].tolist() for i, name in enumerate(names)}
    made = with_colours(data, by_string)
    amps = 0.0
    for node, (plus, minus) in solve(netlist(made, "mean")).items():
        string, prop, _ = node.split("/")
        kind = made["strings"][string]["props"][int(prop.removeprefix("prop")) - 1]
        amps += current_at(made["parts"][made["kinds"][kind]["fill"]["light"]]["light"]["load"], plus - minus)
    return amps * quantity(data["supplies"]["shed"]["voltage"])


def current_at(load: dict[str, Any], v: float) -> float:
    """A current-voltage characteristic as the design writes it, A."""
    idle = quantity(load["idle"]) * min(1.0, v)
    if load["class"] == "constant-current":
        u = [min(1.0, max(0.0, (v - quantity(on)) / quantity(load["saturation"]))) for on in load["turn_on"]]
        return idle + sum(quantity(i) * (2 * x - x * x) for i, x in zip(load["current"], u, strict=True))
    if load["class"] == "resistor":
        pairs = zip(load["forward"], load["resistor"], strict=True)
        return idle + sum(load["parallel"] * max(0.0, v - load["series"] * quantity(f)) / quantity(r) for f, r in pairs)
    return idle + sum(quantity(p) for p in load["power"]) / load["efficiency"] / v
