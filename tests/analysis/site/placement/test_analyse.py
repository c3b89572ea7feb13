"""Spacing for the eye, pull on hooks, cables that do not reach."""

from __future__ import annotations

import math

import pytest

from hollowglow.analysis.prop.making.mass import GRAVITY_M_S2
from hollowglow.analysis.site.placement.spacing import gap_arcmin, line_from_m, line_pitch_m
from hollowglow.file import load_text
from hollowglow.plan import make_plan
from tests.analysis.site.placement.samples import FILE, yard


def test_one_arcminute_is_1_mm_at_3_44_m() -> None:
    # tan 1' = 1/3437.7
    assert line_from_m(0.101, 0.1) == pytest.approx(3.4377, rel=1e-4)
    assert line_pitch_m(0.1, 3437.7) == pytest.approx(1.1, rel=1e-4)
    assert gap_arcmin(1.1, 0.1, 3437.7) == pytest.approx(1.0, rel=1e-4)
    assert line_from_m(0.05, 0.1) == 0.0


# 400 g a prop, five of them; the cable without a mass of its own.
HUNG = yard(
    ("place: {plane: wall, slack: 5 %}\ndrip_loop: 50 mm\n", "parts: {spark: {mass: 400 g, light: {emitters: 1, load: "
     "{class: constant-current, current: [1 mA, 1 mA, 1 mA], turn_on: [1 V, 1 V, 1 V], saturation: 1 V}}}, "
     "thread: {cable: {size: 20 AWG}}}\n"),
    ("{fill: {light: bullet-12mm-12v, count: 3}, pigtail: {length: 100 mm}}", "{fill: {light: spark}}"),
    ("span: {length: drawn}", "span: {cable: thread, length: drawn}"),
    ("line: [[3 m, 4 m], [4 m, 4 m], [4 m, 3 m]], pitch: 0.4 m", "line: [[0 m, 4 m], [5 m, 4 m], [10 m, 4 m]], sag: 0.2 m"),
)  # fmt: skip


def test_hooks_carry_what_the_parabola_says_of_a_taut_string() -> None:
    made = make_plan(load_text(HUNG, FILE)).placed.hung[0]
    weight = 2.0 * GRAVITY_M_S2
    assert made.weight_n == pytest.approx(weight, rel=1e-9)
    # R. C. Hibbeler, Statics, 7.4: H = w L^2 / 8 d, here with half the weight on each stretch; 16 (d/L)^2 on top.
    level = weight / 2.0 * 5.0 / (8.0 * 0.2)
    pull = level * math.sqrt(1.0 + 16.0 * (0.2 / 5.0) ** 2)
    assert made.pull_n == pytest.approx(pull, rel=5e-3)
    assert made.hooks_n[[0, 2]] == pytest.approx([pull, pull], rel=5e-3)
    # The level pulls on the middle hook cancel; it carries half of each stretch.
    assert made.hooks_n[1] == pytest.approx(weight / 2.0, rel=1e-5)
    assert made.sag_m == pytest.approx([0.2, 0.2], rel=1e-6)
    assert made.unknown == ("thread",)


def test_hooks_at_unlike_heights_carry_one_level_pull_and_the_weight_between_them() -> None:
    text = HUNG.replace("[[0 m, 4 m], [5 m, 4 m], [10 m, 4 m]]", "[[0 m, 4 m], [5 m, 5.5 m]]")
    made = make_plan(load_text(text, FILE)).placed.hung[0]
    low, high = made.hooks_n.tolist()
    per_m = made.weight_n / made.length_m
    # Pulls along a catenary are w y, so they differ by the weight of the rise (Hibbeler, Statics, 7.4).
    assert high - low == pytest.approx(per_m * 1.5, rel=1e-6)
    # The level part is the same at both ends, w c, with c of a shallow parabola: L^2 / 8 d.
    level = per_m * 5.0**2 / (8.0 * 0.2) * math.hypot(1.0, 1.5 / 5.0)
    lifts = [math.sqrt(pull**2 - level**2) for pull in (low, high)]
    assert lifts[1] - lifts[0] == pytest.approx(made.weight_n, rel=0.05)


def test_cables_that_do_not_reach_are_told_with_what_would() -> None:
    # Props 0.4 m apart; the span of 0.1 m, its drip loop and two pigtails of 0.1 m make 0.35 m.
    text = yard(("span: {length: drawn}", "span: {length: 0.1 m}"), ("lead: {length: drawn}", "lead: {length: 2 m}"))
    found = {f.where: f for f in make_plan(load_text(text, FILE)).findings if f.code == "cable-too-short"}
    lead, spans = found[("rail/lead",)], next(f for w, f in found.items() if "rail/span01" in w)
    assert "2.09 m" in lead.message or "2.05 m" in lead.message
    # hypot(3, 3) - 0.05 - 0.1 = 4.093 m
    assert "lead.length at least 4.10 m (13.5 ft)" in lead.mend
    assert "span.length at least 0.15 m (0.5 ft)" in spans.mend
    mended = text.replace("0.1 m}\n    feeds", "0.15 m}\n    feeds").replace("length: 2 m", "length: 4.1 m")
    assert not [f for f in make_plan(load_text(mended, FILE)).findings if f.code == "cable-too-short"]
