"""Cables and joints: what is not watched is never the first to be overloaded, and no frame leaves that overloads one."""

from typing import Any

import numpy as np
import pytest

from hollowglow.assembly.ids import cable_ids, joint_ids
from hollowglow.assembly.tables import NONE
from hollowglow.show.demand import Allowed, Demand
from hollowglow.show.demand.conductors import leading
from hollowglow.show.limiter import Limiter
from hollowglow.show.limiter.limit import at_scale
from tests.outside.displays import random_display
from tests.show.demand.samples import built, full_solver, random_frames, sample

Loads = dict[str, tuple[float, float]]


def loads(demand: Demand, frame: np.ndarray, rated: dict[str, float]) -> Loads:
    """What each cable and joint carries by the plan's own solver, and what its part is rated, both A."""
    assembly = demand.assembly
    point = full_solver(demand, frame).point
    current = np.maximum(np.abs(point.edge_plus_a), np.abs(point.edge_minus_a))
    made: Loads = {}
    for table, ids in ((assembly.cables, cable_ids(assembly)), (assembly.joints, joint_ids(assembly))):
        for name, part, edge in zip(ids, table.part.tolist(), table.edge.tolist(), strict=True):
            part_name = assembly.part_name(part)
            if edge != NONE and part_name in rated:
                made[name] = (float(current[edge]), rated[part_name])
    return made


def weak(data: dict[str, Any], seed: int) -> tuple[dict[str, Any], dict[str, float]]:
    """The display with ample supplies and fuses, and cables and joints rated for a part of what they carry at full."""
    rng = np.random.default_rng(seed)
    for supply in data["supplies"].values():
        supply["rating"] = "5000 W"
    for string in data["strings"].values():
        for run in (string, *string.get("feeds", [])):
            if "fuse" in run:
                run["fuse"] = "200 A"
    for part in data["parts"].values():
        if "fuse" in part:
            part["fuse"]["rating"] = "200 A"
    demand = Demand.of(built(data))
    assembly = demand.assembly
    point = full_solver(demand, demand.addresses.full()).point
    current = np.maximum(np.abs(point.edge_plus_a), np.abs(point.edge_minus_a))
    rated: dict[str, float] = {}
    for table, key, field in ((assembly.cables, "cable", "ampacity"), (assembly.joints, "joint", "rating")):
        for part in np.unique(table.part[table.edge != NONE]).tolist():
            name = assembly.part_name(part)
            most = float(current[table.edge[(table.part == part) & (table.edge != NONE)]].max())
            amps = round(max(0.02, most * (rng.uniform(0.3, 1.3) if rated else 0.5)), 4)
            if name in data["parts"] and key in data["parts"][name]:
                data["parts"][name][key][field] = f"{amps} A"
                rated[name] = amps
    return data, rated


@pytest.mark.parametrize("seed", range(14))
def test_no_frame_overloads_a_cable_or_joint(seed: int) -> None:
    made = sample(switching=bool(seed % 2)) if seed > 11 else random_display(seed)
    data, rated = weak(made, seed)
    assert rated
    limiter = Limiter.of(built(data))
    sharp = 0
    for frame in random_frames(limiter.demand, 6, seed):
        left = limiter(frame)
        carried = loads(limiter.demand, left, rated)
        if not limiter.last.holds:
            assert not left.any()
            continue
        for name, (amps, allowed) in carried.items():
            assert amps <= allowed * (1.0 + 1e-8), name
        n = round(255 * limiter.last.scale)
        if n < 255 and limiter.last.limits:
            brighter = loads(limiter.demand, at_scale(frame, n + 1), rated)
            assert any(amps > allowed for amps, allowed in brighter.values()), limiter.last.words
            sharp += 1
    assert sharp


def test_the_cable_that_limits_is_named_with_what_it_may_carry() -> None:
    data = sample(switching=False, lead_m=0.1)
    del data["strings"]["roof"]
    data["supplies"]["shed"] |= {"rating": "500 W", "resistance": "0 ohm"}
    data["parts"]["thin"]["cable"] = {"resistance": "0.001 ohm/m", "ampacity": "1.5 A"}
    limiter = Limiter.of(built(data))
    # All cables are of one sort, so that the lead, which carries everything, is the only one to look at.
    assert limiter.demand.conductors.names == ("rail/lead",)
    limiter(limiter.demand.addresses.full())
    # 9 props of 5 lights of 55.5 mA and 1 mA idle: (1.5 A - 45 mA) / 2.4975 A = 0.5826, that is 148 of 255.
    assert limiter.last.scale == 148 / 255
    assert limiter.last.limits == "rail/lead"
    assert limiter.last.words == "Scaled to 58 %: rail/lead at 2.54 A, and this cable may carry 1.5 A."


def test_sound_cables_are_not_watched_at_all() -> None:
    data = sample()
    data["parts"]["thin"]["cable"] |= {"ampacity": "50 A"}
    demand = Demand.of(built(data))
    assert len(demand.conductors) == 0
    assert set(Allowed.of(demand).sorts) == {"supply", "fuse"}


def random_rail(rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray, np.ndarray, int]:
    """A rail with branches and loops: ends of its edges, their resistances, how many of its places are held."""
    places = int(rng.integers(4, 16))
    fixed = int(rng.integers(1, 4))
    edges = [(int(rng.integers(0, p)), p) for p in range(fixed, places)]
    edges += [
        (int(a), int(b))
        for a, b in rng.integers(0, places, (int(rng.integers(0, 4)), 2))
        if a != b and max(a, b) >= fixed
    ]
    a, b = np.array(edges, dtype=np.int64).T
    return a, b, rng.uniform(0.01, 1.0, len(a)), fixed


@pytest.mark.parametrize("seed", range(150))
def test_within_the_ratings_of_the_watched_edges_all_others_are_too(seed: int) -> None:
    rng = np.random.default_rng(seed)
    a, b, ohm, fixed = random_rail(rng)
    places = int(max(a.max(), b.max())) + 1
    matrix = np.zeros((places, places))
    for start, end, siemens in zip(a.tolist(), b.tolist(), (1.0 / ohm).tolist(), strict=True):
        matrix[start, start] += siemens
        matrix[end, end] += siemens
        matrix[start, end] -= siemens
        matrix[end, start] -= siemens
    rated = rng.choice([0.5, 1.0, 2.0, np.inf], len(a))
    held = np.arange(places) < fixed
    watched = leading(a, b, np.ones(len(a), dtype=bool), held, rated)
    assert np.isfinite(rated[watched]).all()
    free = np.flatnonzero(~held)
    for _ in range(20):
        drawn = rng.uniform(0.0, 1.0, places) * (rng.random(places) < 0.4)
        volts = np.zeros(places)
        volts[held] = rng.uniform(11.9, 12.1, fixed)
        right = -drawn[free] - matrix[np.ix_(free, np.flatnonzero(held))] @ volts[held]
        volts[free] = np.linalg.solve(matrix[np.ix_(free, free)], right)
        share = np.abs(volts[a] - volts[b]) / ohm / rated
        # No unwatched edge is nearer to its rating than the nearest of the watched ones.
        assert share.max() <= share[watched].max(initial=0.0) + 1e-9
