"""Measured kinds give the light that was measured, once, and everything that is told of them agrees."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from hollowglow.analysis.prop import optics
from hollowglow.analysis.prop.optics import NO_READINGS, KindReadings, MeasuredLight, corrected, view
from hollowglow.assembly import expand
from hollowglow.file import load_text

DISPLAY = """\
display: Two kinds
kinds:
  float:
    shell: {shape: sphere, diameter: 150 mm}
    fill: {light: bullet-12mm-12v, count: 4}
  acorn:
    shell: {shape: sphere, diameter: 100 mm}
    fill: {light: bullet-12mm-12v, count: 2}
"""
BY = MeasuredLight(0.8, 0.9, (0.3, 0.6, 0.1), "photograph of 2026-11-30")


@pytest.fixture(scope="module")
def model() -> tuple[tuple[str, ...], optics.Optics]:
    assembly = expand(load_text(DISPLAY))
    return assembly.kinds.names, optics.analyse(assembly)


def test_light_is_multiplied_colour_by_colour_and_sums_to_what_was_measured(
    model: tuple[tuple[str, ...], optics.Optics],
) -> None:
    names, plain = model
    made = corrected(plain, names, KindReadings({"float": BY}, {}))
    before, after = plain.kinds[0], made.kinds[0]
    assert before is not None
    assert after is not None
    assert after.mean_cd_m2.sum() == pytest.approx(0.8 * before.mean_cd_m2.sum())
    assert after.intensity_cd.sum() == pytest.approx(0.9 * before.intensity_cd.sum())
    assert after.mean_cd_m2 / after.mean_cd_m2.sum() == pytest.approx(BY.shares)
    # What leaves a Lambertian wall is pi times its luminance times its area.
    area = float(after.glow.room.wall.area.sum())
    assert after.flux_out_lm == pytest.approx(np.pi * area * after.mean_cd_m2, rel=1e-9)
    assert after.glow.mean_luminance_cd_m2 == pytest.approx(float(after.mean_cd_m2.sum()), rel=1e-9)
    assert after.settled.appearance.uniformity == before.settled.appearance.uniformity
    # The picture is worked out anew from the light inside, and must show what leaves.
    pictures = [view(one.glow.room, np.array([1.0, 0.0, 0.0]), 40).picture(one.glow) for one in (before, after)]
    factors = after.mean_cd_m2 / before.mean_cd_m2
    assert pictures[1] == pytest.approx(pictures[0] * factors, rel=1e-9)
    assert made.kinds[1] is plain.kinds[1]


def test_light_is_corrected_once_and_not_at_all_without_readings(
    model: tuple[tuple[str, ...], optics.Optics],
) -> None:
    names, plain = model
    assert corrected(plain, names, NO_READINGS) is plain
    made = corrected(plain, names, KindReadings({"float": replace(BY, shares=None)}, {"acorn": "meter of 2026-11-29"}))
    assert made.outdated == (("acorn", "meter of 2026-11-29"),)
    with pytest.raises(ValueError, match="once only"):
        corrected(made, names, KindReadings({"float": BY}, {}))
