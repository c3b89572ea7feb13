"""The demo has places for all its props, and its stated cables reach them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import hollowglow
from hollowglow.assembly.lengths import span_lengths
from hollowglow.file import load
from hollowglow.plan import make_plan

DEMO = Path(hollowglow.__file__).parent / "file" / "demo"


@pytest.mark.parametrize("name", ["landing.yaml", "landing-mended.yaml"])
def test_every_prop_of_the_demo_has_a_place_that_its_cables_reach(name: str) -> None:
    display = load(DEMO / name)
    plan = make_plan(display)
    assert np.isfinite(plan.placed.spots_m).all()
    assert not {"cable-too-short", "hook-pull"} & {f.code for f in plan.findings}
    for spacing in plan.placed.spacings:
        stated = span_lengths(display, display.strings[spacing.string]).stated_m[0]
        assert spacing.pitch_m == pytest.approx(stated, rel=1e-3)
