"""Fills compared: what is compared, what each does, the order, and the choice."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from hollowglow.analysis.prop.inside import frame_of, places
from hollowglow.file import load_text
from hollowglow.file.reading.load import part_named
from hollowglow.jobs.filling.fill import fill_document, fill_file
from hollowglow.messages.refusal import Refusal
from hollowglow.search.fill import Candidate, CandidateOutcome, Comparison, candidates, compare, rank
from hollowglow.search.fill.rank import PREFERENCES, weights_for
from tests.assembly.samples import Stated, changed, planned, stated
from tests.outside.displays import dump

BALL: Stated = {"shape": "sphere", "diameter": "150 mm", "transmittance": 0.4, "reflectance": 0.45}
EXIT = 0.4 / 0.55


def garden() -> Stated:
    display = stated(props="6 * float", kind={"shell": BALL, "fill": {"light": "bullet-12mm-12v", "count": 4}})
    return display


def two_kinds() -> Stated:
    display = changed(
        garden(), "kinds.acorn", {"shell": {**BALL, "diameter": "100 mm"}, "fill": {"light": "puck-3led-12v"}}
    )
    return changed(display, "strings.rail.props", ["6 * float", "2 * acorn"])


FEW = [
    Candidate("bullet-12mm-12v", 4, None, False, now=True),
    Candidate("bullet-12mm-12v", 8, "ring", False),
    Candidate("puck-9led-12v", 1, "stand-off", True),
]


@pytest.fixture(scope="module")
def compared() -> Comparison:
    return compare(load_text(dump(two_kinds())), "float", FEW)


def by_words(comparison: Comparison) -> dict[str, CandidateOutcome]:
    return {o.candidate.words: o for o in comparison.outcomes}


def test_singles_up_to_twelve_and_modules_of_the_supply_voltage_are_compared() -> None:
    found = candidates(load_text(dump(garden())), "float")
    singles = {c.count for c in found if c.light == "bullet-12mm-12v"}
    assert singles == set(range(1, 13))
    modules = {c.light for c in found if c.module}
    assert modules >= {f"puck-{n}led-12v" for n in (3, 6, 9, 12)}
    assert not any("5v" in c.light or "24v" in c.light for c in found)
    assert [c for c in found if c.now] == [Candidate("bullet-12mm-12v", 4, None, False, now=True)]
    assert len(found) == len({(c.light, c.count, c.arrangement) for c in found})
    assert len(found) >= 20


def test_what_the_file_says_is_not_compared_twice() -> None:
    # Four lights without a carrier stand in a ring unless the file says otherwise.
    found = candidates(load_text(dump(garden())), "float")
    assert not any((c.count, c.arrangement) == (4, "ring") for c in found)


def test_only_what_fits_inside_is_compared() -> None:
    small = load_text(dump(changed(garden(), "kinds.float.shell.diameter", "60 mm")))
    found = candidates(small, "float")
    for one in found:
        kind = small.kinds["float"].model_copy(
            update={
                "fill": small.kinds["float"].fill.model_copy(
                    update={"count": one.count, "arrangement": one.arrangement}
                )
            }
        )
        if one.now or one.module:
            continue
        light = part_named(small, one.light).light
        assert light is not None
        assert small.kinds["float"].shell is not None
        frame = frame_of(small.kinds["float"].shell)
        assert (frame.distance_m(places(kind, light).positions) > 0.002).all()
    assert not any(c.light == "puck-12led-12v" for c in found)  # 60 mm wide


def test_named_lights_are_compared_alone() -> None:
    found = candidates(load_text(dump(garden())), "float", ["puck-6led-12v", "puck-9led-12v"])
    assert {c.light for c in found if not c.now} == {"puck-6led-12v", "puck-9led-12v"}


def test_figures_of_a_candidate_are_those_that_the_plan_gives_when_it_is_written_into_the_file(
    compared: Comparison,
) -> None:
    from hollowglow.view.rows.kind_table import kind_rows

    file = changed(two_kinds(), "kinds.float.fill", {"light": "bullet-12mm-12v", "count": 8, "arrangement": "ring"})
    plan = planned(file)
    row = next(r for r in kind_rows(plan) if r["kind"] == "float")
    one = by_words(compared)["8 × bullet-12mm-12v, ring"]
    assert one.flux_out_lm == pytest.approx(row["flux_out"], rel=1e-6)
    assert one.mean_cd_m2 == pytest.approx(row["mean_luminance"], rel=1e-6)
    assert one.uniformity == pytest.approx(row["uniformity"], rel=1e-5)
    assert one.cost == row["cost"]
    assert one.minutes == pytest.approx(row["minutes"])
    assert (one.nodes, one.cells) == (row["nodes"], row["cells"]) == (8, 1)
    outputs = plan.signal.outputs
    assert one.chain_nodes == int(outputs.chain_nodes[0]) == 6 * 8 + 2
    assert one.frame_time_s == float(outputs.frame_time_s[0])
    assert one.props == 6


def test_light_out_is_the_share_of_the_integrating_sphere(compared: Comparison) -> None:
    # The catalogue's bullet gives 1.25 + 3.1 + 0.72 lm; of it tau / (1 - rho) leaves a closed diffuse sphere.
    outcomes = by_words(compared)
    assert outcomes["8 × bullet-12mm-12v, ring"].flux_out_lm == pytest.approx(8 * 5.07 * EXIT, rel=0.005)
    assert outcomes["puck-9led-12v, stand-off"].flux_out_lm == pytest.approx(44.1 * EXIT, rel=0.005)


def test_power_is_that_of_the_load_characteristic_at_nominal_voltage(compared: Comparison) -> None:
    # In saturation it takes its full currents and its idle current: 12 V (3 x 17.5 mA + 1.2 mA).
    assert by_words(compared)["8 × bullet-12mm-12v, ring"].power_w == pytest.approx(8 * 12.0 * 0.0537, rel=1e-9)
    # Resistors, three chains: 12 V (3 (6 V/390 + 3 V/180 + 2.7 V/180) + 1 mA).
    chains = 3 * (6.0 / 390.0 + 3.0 / 180.0 + 2.7 / 180.0)
    assert by_words(compared)["puck-9led-12v, stand-off"].power_w == pytest.approx(12.0 * (chains + 0.001), rel=1e-9)


def test_the_level_makes_it_as_bright_as_the_dimmest_other_kind(compared: Comparison) -> None:
    from hollowglow.view.rows.kind_table import kind_rows

    acorn = next(r for r in kind_rows(planned(two_kinds())) if r["kind"] == "acorn")
    for one in compared.outcomes:
        if one.level is None:
            assert one.mean_cd_m2 < acorn["mean_luminance"]
        else:
            assert one.level * one.mean_cd_m2 == pytest.approx(acorn["mean_luminance"], rel=1e-4)
    assert any(one.level is not None for one in compared.outcomes)


def test_alone_in_a_display_a_kind_has_no_level_to_match() -> None:
    made = compare(load_text(dump(garden())), "float", FEW[:1])
    assert made.outcomes[0].level is None


def test_what_is_preferred_counts_most_and_weights_add_up_to_one() -> None:
    for prefer in (None, *PREFERENCES):
        weights = weights_for(prefer)
        assert sum(weights.values()) == pytest.approx(1.0)
        if prefer is not None:
            assert max(weights, key=lambda a: weights[a]) == prefer


def test_the_order_follows_what_is_preferred(compared: Comparison) -> None:
    outcomes = compared.outcomes
    assert rank(compared, "light").ranked[0].outcome.flux_out_lm == max(o.flux_out_lm for o in outcomes)
    assert rank(compared, "cost").ranked[0].outcome.cost == min(o.cost for o in outcomes)
    assert rank(compared, "work").ranked[0].outcome.minutes == min(o.minutes for o in outcomes)


def test_a_candidate_that_another_beats_in_everything_is_marked_with_it(compared: Comparison) -> None:
    for ranked in rank(compared).ranked:
        other = ranked.beaten_by
        if other is not None:
            one = ranked.outcome
            assert other.flux_out_lm >= one.flux_out_lm * (1 - 1e-6)
            assert other.uniformity >= one.uniformity * (1 - 1e-6)
            assert other.hot_spot <= one.hot_spot * (1 + 1e-6)
            assert other.cost <= one.cost
            assert other.minutes <= one.minutes


def test_the_best_in_one_thing_is_never_marked_as_beaten(compared: Comparison) -> None:
    ranked = rank(compared).ranked
    brightest = max(ranked, key=lambda r: r.outcome.flux_out_lm)
    assert brightest.beaten_by is None


def test_the_choice_is_explained_in_two_sentences(compared: Comparison) -> None:
    why = rank(compared).why
    assert why.count(". ") == 1
    assert why.endswith(".")
    assert rank(compared).ranked[0].outcome.candidate.words in why


def test_a_chain_that_is_too_long_puts_a_candidate_last() -> None:
    short = changed(garden(), "controllers.box.nodes_per_output", 30)
    made = rank(compare(load_text(dump(short)), "float", FEW), "light").ranked
    assert not made[-1].outcome.chain_fits  # 6 props of 8 nodes
    assert made[0].outcome.chain_fits


def test_the_document_is_plain_data_with_the_order(compared: Comparison) -> None:
    data = json.loads(json.dumps(fill_document(rank(compared)), allow_nan=False))
    assert [c["score"] for c in data["candidates"]] == sorted((c["score"] for c in data["candidates"]), reverse=True)
    first = data["candidates"][0]
    assert first["cost_of_all"] == pytest.approx(6 * first["cost"], abs=0.01)
    assert first["minutes_of_all"] == pytest.approx(6 * first["minutes"], abs=0.01)


@pytest.mark.parametrize(
    ("kind", "lights", "words"),
    [
        ("flaot", (), 'There is no kind "flaot" in this display. Did you mean "float"?'),
        ("bare", (), "The kind bare states no shell, so there is nothing to fill. State one, such as shell: {shape: sphere, "
                     "diameter: 150 mm}."),
        ("float", ("puck-9led-12w",), 'There is no light part "puck-9led-12w". Did you mean "puck-9led-12v"?'),
        ("float", ("wire",), 'The part "wire" is no light.'),
    ],
)  # fmt: skip
def test_what_cannot_be_compared_is_said(tmp_path: Path, kind: str, lights: tuple[str, ...], words: str) -> None:
    file = tmp_path / "garden.yaml"
    file.write_text(dump(changed(garden(), "kinds.bare", {"fill": {"light": "light"}})), encoding="utf-8")
    with pytest.raises(Refusal) as caught:
        fill_file(file, kind, lights=lights)
    assert str(caught.value) == words
