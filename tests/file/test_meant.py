"""A word that no key or class has is answered with the one that fits what is stated, where only one or two fit."""

from __future__ import annotations

import pytest

from tests.file.jetty import JETTY, complaint, complaints, jetty

LOAD = JETTY.partition("load: ")[2].partition("}}")[0] + "}"


@pytest.mark.parametrize(
    ("keys", "meant"),
    [
        ("current: [18 mA, 18 mA, 18 mA], turn_on: [2 V, 3 V, 3 V], saturation: 0.6 V", "constant-current"),
        ("series: 3, parallel: 1, forward: [2 V, 3 V, 3 V], resistor: [330 ohm, 150 ohm, 150 ohm]", "resistor"),
        ("power: [0.1 W, 0.1 W, 0.1 W], efficiency: 0.9, cutoff: 7 V", "constant-power"),
        ("power: [0.1 W, 0.1 W, 0.1 W], idle: 1 mA", "constant-power"),
    ],
)
def test_a_class_by_another_word_is_that_whose_keys_stand_beside_it(keys: str, meant: str) -> None:
    told = complaint((LOAD, f"{{class: driver, {keys}}}"))
    assert told.endswith(
        f'found "driver", expected one of constant-current, resistor, constant-power. Did you mean "{meant}"?'
    )


@pytest.mark.parametrize("keys", ["idle: 1 mA", "current: [1 mA, 1 mA, 1 mA], efficiency: 0.9", "glow: 3"])
def test_nothing_is_guessed_of_a_class_whose_keys_fit_none_or_several(keys: str) -> None:
    told = complaint((LOAD, f"{{class: driver, {keys}}}"))
    assert told.endswith('found "driver", expected one of constant-current, resistor, constant-power.')


@pytest.mark.parametrize(
    ("text", "word", "meant"),
    [
        (jetty(("shape: sphere", "power_pack: 3 * AA, shape: sphere")), "power_pack", '"batteries"'),
        (JETTY + "mains:\n  porch: {voltage: 230 V, breaker: 16 A, trip: 6 mA}\n", "trip", '"rcd"'),
        (JETTY + "limits: {tint_limit: 0.006}\n", "tint_limit", '"chromaticity_shift"'),
        (JETTY + "tolerances: {tries: 500}\n", "tries", '"samples" or "seed"'),
        (jetty(("  test-splice:", "  putty: {thing: {unit: tube}}\n  test-splice:")), "thing", '"consumable"'),
        (jetty(("  test-splice:", "  putty: {planed: {unit: tube}}\n  test-splice:")), "planed", '"consumable"'),
        (jetty(("  test-splice:", "  putty: {wholly: {}}\n  test-splice:")), "wholly", '"consumable"'),
        (jetty(("  test-splice:", "  putty: {gladn: {unit: tube}}\n  test-splice:")), "gladn", '"gland"'),
    ],
)
def test_a_key_by_another_word_is_that_which_takes_what_is_stated(text: str, word: str, meant: str) -> None:
    told = [one for one in complaints(text) if f'the unknown key "{word}"' in one]
    assert len(told) == 1
    assert told[0].endswith(f"Did you mean {meant}?")


@pytest.mark.parametrize("value", ["3 * AA cells", "[1, 2]", "150 mm"])
def test_nothing_is_guessed_of_a_key_whose_value_fits_none_or_many(value: str) -> None:
    (told,) = complaints(jetty(("shape: sphere", f"power_pack: {value}, shape: sphere")))
    assert 'the unknown key "power_pack"' in told
    assert "Did you mean" not in told


def test_a_key_that_must_be_stated_is_not_missed_where_it_stands_by_another_word() -> None:
    (told,) = complaints(jetty(("emitters: 1", "chips: 1")))
    assert told.endswith('Did you mean "emitters"?')
