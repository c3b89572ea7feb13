"""Sizes of units stand in `quantity/` alone, and units are written behind numbers there.

The source is read as Python reads it: sizes are numbers in the code, so that those in examples and sentences do not count.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from importlib.resources import files
from pathlib import Path

import pytest

SOURCE = Path(str(files("hollowglow")))
# An inch in m and mm, a foot, a pound and an ounce in kg, with what they are rounded to.
SIZES = (0.0254, 2.54, 25.4, 0.3048, 0.45359237, 0.4536, 0.454, 0.028349523125, 0.02835, 28.35)
# Module -> the sizes that it may hold, and why.
ALLOWED = {
    # Physics imports nothing; the gauge of wires is defined in thousandths of an inch.
    "physics/copper.py": {25.4e-6},
    # The height in mm of a label as its maker sells it.
    "draw/labels/sheets.py": {25.4},
}
UNITS = (
    "V|mV|A|mA|W|kW|Wh|kWh|mm|cm|m|in|ft|kg|g|lb|oz|ms|s|min|h|ohm|mohm|degC|°C|%|Hz|kHz|lx|lm|cd|cd/m2|cd/m²|mm2|mm²"
)
BEHIND = re.compile(rf" ({UNITS})(?![\w/²])")

# Physics imports nothing; its errors tell a programmer what an argument was.
EXEMPT = ("physics/",)
# What still writes its own; a module that tells quantities leaves this list for good.
BY_HAND = {
    "analysis/circuit/characterise/readings.py",
    "analysis/circuit/commission/hints.py",
    "analysis/circuit/commission/repair.py",
    "analysis/match/judge.py",
    "analysis/money/cost/bill.py",
    "analysis/prop/making/bores/drills.py",
    "analysis/prop/optics/beams.py",
    "analysis/prop/optics/enclosure/carriers.py",
    "analysis/prop/inside/hollow.py",
    "analysis/prop/optics/lamp.py",
    "analysis/prop/optics/seen.py",
    "book/chapters/addressing.py",
    "book/chapters/bench.py",
    "book/chapters/front.py",
    "book/chapters/shopping.py",
    "book/chapters/wiring.py",
    "cli/commands/photo.py",
    "cli/live/capture.py",
    "cli/live/light.py",
    "cli/show/characterise.py",
    "cli/show/fill.py",
    "cli/show/kinds.py",
    "cli/show/match.py",
    "cli/show/plan.py",
    "cli/show/safety.py",
    "cli/show/spacing.py",
    "cli/show/tolerance.py",
    "draw/circuit/before_after.py",
    "draw/circuit/line_diagram.py",
    "draw/circuit/line_parts.py",
    "draw/circuit/profile.py",
    "draw/prop/fades.py",
    "draw/prop/glow.py",
    "draw/prop/polar.py",
    "draw/prop/section.py",
    "draw/scale_bars.py",
    "draw/sheet/tiles.py",
    "draw/yard.py",
    "file/model/display.py",
    "file/model/storage.py",
    "file/reading/drawn_lengths.py",
    "jobs/matching/light_meter.py",
    "jobs/matching/photographs.py",
    "jobs/shows/capture.py",
    "measured/photo/exposure.py",
    "measured/photo/judge.py",
    "measured/photo/scene.py",
    "measured/photo/vignetting.py",
    "net/hearing/moments.py",
    "net/hearing/receiver.py",
    "net/sending/sender.py",
    "search/fill/rank.py",
    "view/rows/labels.py",
    "web/page/measures.py",
    "web/phone/gate.py",
    "web/rooms/test/lighting.py",
}


def modules() -> Iterator[tuple[str, ast.Module]]:
    for path in sorted(SOURCE.rglob("*.py")):
        name = path.relative_to(SOURCE).as_posix()
        if not name.startswith("quantity/"):
            yield name, ast.parse(path.read_text(encoding="utf-8"))


def sizes(tree: ast.AST) -> set[float]:
    """Return the sizes of units, times a power of ten, that stand as numbers in a module."""
    numbers = (n.value for n in ast.walk(tree) if isinstance(n, ast.Constant) and isinstance(n.value, float))
    return {v for v in numbers if any(f"{v:.8e}".split("e")[0] == f"{one:.8e}".split("e")[0] for one in SIZES)}


def units(tree: ast.AST) -> list[int]:
    """Return the lines of a module that write a unit behind a number with a form of its own, as f"{x:.2f} V" does."""
    return [
        number.lineno
        for text in ast.walk(tree)
        if isinstance(text, ast.JoinedStr)
        for number, behind in zip(text.values, text.values[1:], strict=False)
        if isinstance(number, ast.FormattedValue) and number.format_spec is not None
        if isinstance(behind, ast.Constant) and BEHIND.match(str(behind.value))
    ]


def test_the_size_of_a_unit_stands_in_its_own_room_only() -> None:
    found = {name: held for name, tree in modules() if (held := sizes(tree))}
    assert found == ALLOWED


@pytest.mark.parametrize("code", ["x / 0.3048", "y = 25.4", "A = (1.0, 45.359237)"])
def test_a_size_is_found(code: str) -> None:
    assert sizes(ast.parse(code))
    assert not sizes(ast.parse(f'"""{code}"""'))


@pytest.mark.parametrize(("code", "found"), [('f"{x:.2f} V"', 1), ('f"{x:g} mm wide"', 1), ('f"{x} in it"', 0)])
def test_a_unit_behind_a_number_is_found(code: str, found: int) -> None:
    assert len(units(ast.parse(code))) == found


def test_no_module_begins_to_write_units_behind_numbers_by_hand() -> None:
    found = {name for name, tree in modules() if units(tree) and not name.startswith(EXEMPT)}
    assert found <= BY_HAND
