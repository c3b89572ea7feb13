"""Steps and curve of a controller, and trims of a kind: what is read, and what is said about what cannot be."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hollowglow.assembly.expand import duties
from hollowglow.assembly.kinds import expand_kinds
from hollowglow.file import load_text
from hollowglow.file.model.setting import LINEAR, Curve
from tests.file.jetty import FILE, complaint, jetty

BOX = ("gangs: true}", "gangs: true, X}")
TRIM = ("levels: {float: 100 %}", "levels: {float: 50 %}\ntrims: {X}")


def test_steps_and_curve_are_read_and_have_defaults() -> None:
    plain = load_text(jetty()).controllers["box"]
    assert (plain.steps, plain.curve) == (100, LINEAR)
    told = load_text(jetty((BOX[0], "gangs: true, steps: 255, curve: gamma 2.2}"))).controllers["box"]
    assert (told.steps, told.curve) == (255, Curve(2.2))
    assert str(told.curve) == "gamma 2.2"


@pytest.mark.parametrize(
    ("key", "message"),
    [
        ("steps: 200", "steps: found 200, expected percent (it is told 0 to 100), or 255 (it is told 0 to 255)."),
        ("steps: many", 'steps: found "many", expected percent (it is told 0 to 100), or 255 (it is told 0 to 255).'),
        ("curve: 2.2", 'curve: found 2.2, expected linear, or a power like "gamma 2.2" (from 1 to 4).'),
        ("curve: gamma 9", 'curve: found "gamma 9", expected linear, or a power like "gamma 2.2" (from 1 to 4).'),
        ("curve: [linear]", 'curve: found a list, expected linear, or a power like "gamma 2.2" (from 1 to 4).'),
    ],
)
def test_a_setting_that_cannot_be_is_told(key: str, message: str) -> None:
    told = complaint((BOX[0], BOX[1].replace("X", key)))
    assert told.endswith(f"controllers.box.{message}"), told


def test_trims_stand_under_the_level_in_the_duties() -> None:
    display = load_text(jetty((TRIM[0], TRIM[1].replace("X", "float: [1, 0.9, 80 %]"))))
    assert duties(display, expand_kinds(display))[0, :3].tolist() == pytest.approx([0.5, 0.45, 0.4])


@pytest.mark.parametrize(
    ("stated", "message"),
    [
        ("float: [1, 0.9]", "trims.float: found a list of 2, expected"),
        (
            "float: [1, 0.9, 0.8, 1]",
            "trims.float: found 4 trims, expected 3 trims, because the light of float has 3 colours.",
        ),
        ("float: [1, 0.9, 1.5]", 'trims.float[3]: found 1.5, expected a share like 0.85 or "85 %" (from 0 to 1).'),
        ("flaot: [1, 1, 1]", 'trims.flaot: found "flaot", expected the name of a kind. Did you mean "float"?'),
        ("float: 0.9", "trims.float: found 0.9, expected"),
    ],
)
def test_trims_that_cannot_be_are_told_with_their_line(stated: str, message: str) -> None:
    told = complaint((TRIM[0], TRIM[1].replace("X", stated)))
    assert told.startswith(FILE)
    assert message in told, told


@given(st.floats(1.0, 4.0), st.floats(0.0, 1.0))
def test_a_curve_and_its_inverse_undo_each_other(gamma: float, setting: float) -> None:
    curve = Curve(gamma)
    assert curve.setting(curve.duty(setting)) == pytest.approx(setting, abs=1e-12)
    assert 0.0 <= curve.duty(setting) <= 1.0
