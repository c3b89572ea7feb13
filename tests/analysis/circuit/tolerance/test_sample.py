"""Random deviations: the same everywhere and in every company, and distributed as the tolerances say."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from hollowglow.analysis.circuit.tolerance import sample
from hollowglow.analysis.circuit.tolerance.sample import Sampler
from hollowglow.assembly.tables import Floats
from hollowglow.file.model.tolerances import Tolerances
from tests.assembly.samples import built, stated

MASK = 2**64 - 1


def philox(counter: list[int], key: list[int]) -> list[int]:
    """Philox 4x64 with ten rounds, from its paper (Salmon et al., SC 2011)."""
    c0, c1, c2, c3 = counter
    k0, k1 = key
    for _ in range(10):
        first, second = 0xD2E7470EE14C6C93 * c0, 0xCA5A826395121157 * c2
        c0, c1, c2, c3 = (second >> 64) ^ c1 ^ k0, second & MASK, (first >> 64) ^ c3 ^ k1, first & MASK
        k0, k1 = (k0 + 0x9E3779B97F4A7C15) & MASK, (k1 + 0xBB67AE8584CAA73B) & MASK
    return [c0, c1, c2, c3]


def test_the_second_philox_gives_the_published_answer() -> None:
    # Known-answer file of the generator's authors (Random123, kat_vectors): counter 0, key 0.
    answer = [0x16554D9ECA36314C, 0xDB20FE9D672D0FDC, 0xD7E772CEE186176B, 0x7E68B68AEC7BA23B]
    assert philox([0, 0, 0, 0], [0, 0]) == answer


@pytest.mark.parametrize("first", [0, 1, 3, 4, 9])
def test_words_are_those_of_philox_with_seed_and_draw_as_key(first: int) -> None:
    made = sample._words(7, np.array([3, 12]), 2, first, 6)
    for row, number in enumerate((3, 12)):
        # The generator counts before it gives the first block.
        blocks = [word for at in range(1, 6) for word in philox([at, 0, 0, 2], [7, number])]
        assert made[row].tolist() == blocks[first : first + 6]


def sampler(**tolerances: object) -> Sampler:
    assembly = built(stated(props="30 * float", string={"span": {"cable": "wire", "length": "1 m", "joint": "splice"}}))
    return Sampler(assembly, Tolerances.model_construct(**{**Tolerances().__dict__, **tolerances}), 1)


def standard(values: Floats, tolerance: float) -> Floats:
    """Deviations in standard deviations, the tolerance being the half width that holds 95 %."""
    scaled: Floats = values.ravel() / (tolerance / stats.norm.ppf(0.975))
    return scaled


def test_a_draw_is_the_same_whatever_is_drawn_beside_it() -> None:
    one = sampler()
    coincident, alone = one.everything(np.arange(20)), one.everything(np.array([13]))
    for name in ("warmer_k", "copper", "supply", "cable", "joint_plus_ohm", "joint_minus_ohm", "current", "flux"):
        assert (getattr(coincident, name)[..., 13:14] == getattr(alone, name)).all()


def test_parts_of_a_table_are_drawn_as_with_the_whole() -> None:
    one, samples = sampler(cable_varies="by the piece"), np.arange(5)
    whole = one.everything(samples)
    rows = slice(7, 12)
    assert (one.joints(samples, rows)[0] == whole.joint_plus_ohm[rows]).all()
    assert (one.joints(samples, rows)[1] == whole.joint_minus_ohm[rows]).all()
    assert (one.cables(samples, rows) == whole.cable[rows]).all()
    assert (one.nodes(samples, rows)[1] == whole.flux[rows]).all()


def test_factors_are_normal_with_95_percent_inside_the_tolerance() -> None:
    made = sampler(cable_varies="by the piece").everything(np.arange(400))
    for values, tolerance in ((made.current, 0.08), (made.flux, 0.15), (made.cable, 0.03), (made.supply, 0.01)):
        assert stats.kstest(standard(values - 1.0, tolerance), "norm").pvalue > 1e-3
    assert stats.kstest(standard(made.warmer_k, 5.0), "norm").pvalue > 1e-3
    inside = int((np.abs(made.current - 1.0) <= 0.08).sum())
    assert stats.binomtest(inside, made.current.size, 0.95).pvalue > 1e-3


def test_copper_follows_the_temperature() -> None:
    made = sampler().everything(np.arange(50))
    # IEC 60028: 0.00393 per kelvin at 20 degC, which is the ambient here.
    assert made.copper == pytest.approx(1.0 + 0.00393 * made.warmer_k, rel=1e-12)


def test_all_pieces_of_one_reel_are_alike_and_other_pieces_are_not() -> None:
    assert np.ptp(sampler().everything(np.arange(9)).cable, axis=0).max() == 0.0
    assert np.ptp(sampler(cable_varies="by the piece").everything(np.arange(9)).cable, axis=0).min() > 0.0


def test_sound_joints_are_lognormal_about_their_resistance() -> None:
    made = sampler(bad_joints=0.0).everything(np.arange(300))
    for contacts in (made.joint_plus_ohm, made.joint_minus_ohm):
        logs = np.log(contacts.ravel() / 0.005) / (np.log(1.2) / stats.norm.ppf(0.975))
        assert stats.kstest(logs, "norm").pvalue > 1e-3
    assert abs(stats.pearsonr(made.joint_plus_ohm.ravel(), made.joint_minus_ohm.ravel()).statistic) < 0.05


def test_the_stated_share_of_contacts_has_gone_bad() -> None:
    made = sampler(joint_resistance=0.0, bad_joints=0.03, bad_joint=0.08).everything(np.arange(300))
    bad = made.joint_plus_ohm > 0.01
    assert made.joint_plus_ohm[bad] == pytest.approx(0.08)
    assert made.joint_plus_ohm[~bad] == pytest.approx(0.005)
    assert stats.binomtest(int(bad.sum()), bad.size, 0.03).pvalue > 1e-3


def test_a_bad_joint_is_never_better_than_the_sound_one() -> None:
    made = sampler(joint_resistance=0.0, bad_joints=1.0, bad_joint=0.001).everything(np.arange(3))
    assert made.joint_plus_ohm == pytest.approx(0.005)


def test_factors_never_reach_nothing() -> None:
    assert sampler(light_current=0.5).everything(np.arange(3000)).current.min() >= sample.LEAST_FACTOR


def test_no_tolerance_leaves_everything_as_stated() -> None:
    none = dict.fromkeys(
        ("light_current", "light_flux", "cable_resistance", "joint_resistance", "bad_joints", "supply_voltage"), 0.0
    )
    made = sampler(**none, temperature=0.0).everything(np.arange(4))
    for values in (made.copper, made.supply, made.cable, made.current, made.flux):
        assert (values == 1.0).all()
    assert (made.joint_plus_ohm == 0.005).all()
