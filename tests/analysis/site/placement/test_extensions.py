"""Strings joined by ready-made extensions: they have no drip loop, and their length is that of a part."""

from __future__ import annotations

import numpy as np
import pytest

from hollowglow.file import load_text
from hollowglow.plan import Plan, make_plan
from hollowglow.view.open_forms import positions
from tests.analysis.site.placement.samples import FILE, yard

NEAR = yard(
    ("span: {length: drawn}", "span: {extension: extension-18awg-0.5m}"),
    ("pitch: 0.4 m", "pitch: 1 m"),
    ("5 * float", "3 * float"),
    ("before: 4", "before: 3"),
)


def planned(text: str) -> Plan:
    return make_plan(load_text(text, FILE))


def test_props_on_extensions_are_set_out_at_the_length_of_the_extension() -> None:
    text = yard(
        ("span: {length: drawn}", "span: {extension: extension-18awg-0.5m}"),
        ("    place: {line: [[3 m, 4 m], [4 m, 4 m], [4 m, 3 m]], pitch: 0.4 m}\n", ""),
        ("lead: {length: drawn}", "lead: {length: 2 m}"),
        ("supply: shed, length: drawn", "supply: shed, length: 2 m"),
    )
    assert np.diff(positions(planned(text))[:, 0]) == pytest.approx([0.5] * 4)


def test_what_mends_a_short_extension_is_a_longer_extension() -> None:
    # Neighbours are 1 m apart, and 0.5 m with two pigtails of 0.1 m reach 0.7 m; 0.8 m of extension would do.
    (found,) = [f for f in planned(NEAR).findings if f.code == "cable-too-short"]
    assert found.where == ("rail/span01", "rail/span02")
    assert "span.extension" in found.mend
    assert "at least 0.80 m" in found.mend
    assert "span.length" not in found.mend
    assert "drawn" not in found.mend
    mended = NEAR.replace("extension-18awg-0.5m", "extension-18awg-1m")
    assert "cable-too-short" not in {f.code for f in planned(mended).findings}
