"""What a shell of a shape is stands in one class for each: everybody else asks it and no shape by name.

Looked for in the syntax tree. The names that stand for shells alone may be a text nowhere else; of "box", which a carrier,
a line of a drawing and a storage box are too, and of a shell whose shape is asked, only what is compared counts.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path
from typing import get_args

import pytest

import hollowglow
from hollowglow.analysis.prop.inside import SHAPES, frame_of
from hollowglow.file.model.kind import SHELL_LENGTHS, Shell

SOURCE = Path(hollowglow.__file__).parent
HOMES = {"file/model/kind.py", "analysis/prop/inside/shapes.py"}
NAMES = {one.name for one in SHAPES}
SHELLS_ALONE = NAMES - {"box"}
STATED = {
    "sphere": {"diameter": "140 mm"},
    "cylinder": {"diameter": "140 mm", "height": "200 mm"},
    "cone": {"diameter": "140 mm", "height": "200 mm"},
    "lathe": {"profile": [["70 mm", "10 mm"], ["50 mm", "210 mm"]]},
    "box": {"width": "120 mm", "depth": "140 mm", "height": "200 mm"},
}
SIDES = {"sphere": (0.14, 0.14, 0.14), "box": (0.12, 0.14, 0.2)}


def asked(source: str) -> Iterator[str]:
    """Each place of a module that knows a shell's shape by name or by class."""
    tree = ast.parse(source)
    # Functions of these names that a module lists as its own are no shape asked by name.
    listed = {
        id(one)
        for node in ast.walk(tree)
        if isinstance(node, ast.Assign) and [ast.unparse(t) for t in node.targets] == ["__all__"]
        for one in ast.walk(node.value)
    }
    classes = {one.__name__ for one in SHAPES}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and node.value in SHELLS_ALONE and id(node) not in listed:
            yield repr(node.value)
        elif isinstance(node, ast.Name) and node.id in classes:
            yield node.id
        elif isinstance(node, ast.Compare):
            left = ast.unparse(node.left)
            if left.endswith(".shape") and not left.endswith("carrier.shape"):
                texts = {
                    one.value for right in node.comparators for one in ast.walk(right) if isinstance(one, ast.Constant)
                }
                if texts & NAMES:
                    yield ast.unparse(node)


def test_no_shape_is_asked_by_name_outside_its_home() -> None:
    found = [
        f"{name}: {use}"
        for path in sorted(SOURCE.rglob("*.py"))
        for name in [path.relative_to(SOURCE).as_posix()]
        if name not in HOMES
        for use in asked(path.read_text(encoding="utf-8"))
    ]
    assert found == []


@pytest.mark.parametrize(
    "line",
    ['shell.shape == "sphere"', 'kind.shell.shape in ("box", "disc")', '{"lathe": 1}', "isinstance(frame, BoxFrame)"],
)
def test_each_way_to_ask_for_one_is_found(line: str) -> None:
    assert list(asked(line))


@pytest.mark.parametrize("line", ['carrier.shape == "box"', 'Text("box")', '__all__ = ["cone"]', "x.shape == (3,)"])
def test_what_is_no_shape_of_a_shell_is_not_taken_for_one(line: str) -> None:
    assert not list(asked(line))


def test_each_shape_of_the_file_has_its_class_and_its_lengths() -> None:
    assert [one.name for one in SHAPES] == list(get_args(Shell.model_fields["shape"].annotation)) == list(SHELL_LENGTHS)


@pytest.mark.parametrize("name", sorted(NAMES))
def test_size_outline_and_hollow_of_a_shape_are_of_the_same_body(name: str) -> None:
    frame = frame_of(Shell.model_validate({"shape": name, **STATED[name]}))
    assert type(frame).name == name
    assert frame.sides_m == pytest.approx(SIDES.get(name, (0.14, 0.14, 0.2)))
    assert frame.hollow().size.tolist() == pytest.approx(frame.sides_m)
    for across in (0, 1):
        outline = frame.outline_m(across)
        # A ball is drawn by 48 points, of which the widest lies within 1 - cos(pi/94) of its radius.
        assert 2.0 * max(r for r, _ in outline) == pytest.approx(frame.sides_m[across], rel=6e-4)
        assert outline[-1][1] - outline[0][1] == pytest.approx(frame.height_m)
