"""Light that need not be computed again is taken over, and only that."""

from __future__ import annotations

import numpy as np
import pytest

from hollowglow.analysis.prop import optics
from hollowglow.assembly import Assembly, expand
from hollowglow.file.reading.load import load_text

TEXT = """
display: Two kinds
viewing: 10 m
parts:
  lamp:
    light:
      emitters: 1
      load: {class: constant-current, current: [20 mA, 20 mA, 20 mA], turn_on: [2 V, 3 V, 3 V], saturation: 0.6 V, idle: 1 mA}
kinds:
  globe:
    shell: {shape: sphere, diameter: 100 mm, transmittance: 0.4, reflectance: 0.5}
    fill: {light: lamp, count: 2, gang: true}
  box:
    shell: {shape: box, width: 100 mm, height: 100 mm, depth: 60 mm, transmittance: 0.4, reflectance: 0.5}
    fill: {light: lamp}
supplies: {shed: {voltage: 12 V, rating: 60 W}}
controllers: {brain: {outputs: 1}}
strings:
  one:
    output: brain/1
    supply: shed
    props: [globe, box]
    lead: {length: 1 m, cable: cable-3x18awg}
    span: {length: 1 m, cable: cable-3x18awg}
"""


def _build(text: str) -> Assembly:
    return expand(load_text(text))


def test_what_is_stated_alike_keeps_its_light() -> None:
    assembly = _build(TEXT)
    first = optics.analyse(assembly)
    longer = _build(TEXT.replace("lead: {length: 1 m", "lead: {length: 9 m"))
    again = optics.analyse(longer, before=(assembly, first))
    assert all(a is b for a, b in zip(first.kinds, again.kinds, strict=True))


@pytest.mark.parametrize(
    ("was", "becomes", "anew"),
    [
        ("diameter: 100 mm", "diameter: 120 mm", {"globe"}),
        ("current: [20 mA", "current: [10 mA", {"globe", "box"}),
        ("viewing: 10 m", "viewing: 40 m", {"globe", "box"}),
        ("depth: 60 mm", "depth: 50 mm", {"box"}),
    ],
)
def test_what_has_changed_is_computed_anew_and_as_if_it_were_the_first(was: str, becomes: str, anew: set[str]) -> None:
    assembly = _build(TEXT)
    first = optics.analyse(assembly)
    changed = _build(TEXT.replace(was, becomes))
    again = optics.analyse(changed, before=(assembly, first))
    alone = optics.analyse(changed)
    for name, old, new, fresh in zip(assembly.kinds.names, first.kinds, again.kinds, alone.kinds, strict=True):
        assert (old is not new) == (name in anew)
        assert new is not None
        assert fresh is not None
        np.testing.assert_array_equal(new.mean_cd_m2, fresh.mean_cd_m2)
