"""IES LM-63: read by a reader of its own, its flux integrated by another rule, the example of the standard's form."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pytest
from scipy.integrate import simpson

from hollowglow.analysis.prop.optics import intensity
from hollowglow.draw.forms import Photometry, ies_text, solid_angle_flux, type_c
from hollowglow.file import load_text
from hollowglow.plan import Plan, make_plan
from hollowglow.view.open_forms import photometry_of
from tests.assembly.samples import stated
from tests.outside.displays import dump

SHELLS = {
    "sphere": {"shape": "sphere", "diameter": "150 mm"},
    "cylinder": {"shape": "cylinder", "diameter": "80 mm", "height": "120 mm"},
    "box": {"shape": "box", "width": "200 mm", "height": "150 mm", "depth": "60 mm"},
    "bell": {
        "shape": "lathe",
        "profile": [["20 mm", "0 mm"], ["30 mm", "60 mm"], ["60 mm", "90 mm"], ["0 mm", "100 mm"]],
    },
}


@dataclass(frozen=True)
class Read:
    """What a file says, read by the order of fields of LM-63-2002 alone."""

    keywords: dict[str, str]
    header: list[float]
    vertical: np.ndarray
    horizontal: np.ndarray
    candela: np.ndarray


def read(text: str) -> Read:
    assert text.endswith("\r\n")
    lines = text.split("\r\n")[:-1]
    assert lines[0] == "IESNA:LM-63-2002"
    tilt = lines.index("TILT=NONE")
    keywords = dict(line[1:].split("] ", 1) for line in lines[1:tilt])
    # The form allows 82 characters a keyword line and 132 a line of numbers, CR LF included.
    assert max(map(len, lines[1:tilt])) <= 80
    assert max(map(len, lines[tilt:])) <= 130
    numbers = [float(word) for line in lines[tilt + 1 :] for word in line.split()]
    v, h = int(numbers[3]), int(numbers[4])
    vertical, horizontal = np.array(numbers[13 : 13 + v]), np.array(numbers[13 + v : 13 + v + h])
    rest = numbers[13 + v + h :]
    assert len(rest) == v * h
    return Read(keywords, numbers[:13], vertical, horizontal, np.array(rest).reshape(h, v))


def plan_of(shell: dict[str, object], hangs: str) -> Plan:
    kind = {"shell": {"transmittance": 0.45, "reflectance": 0.45, **shell}, "hangs": hangs}
    return make_plan(load_text(dump(stated(props="1 * float", kind=kind))))


@pytest.fixture(scope="module", params=[(s, h) for s in SHELLS for h in ("tip down", "on its side")], ids="-".join)
def case(request: pytest.FixtureRequest) -> tuple[Plan, Photometry]:
    shell, hangs = request.param
    plan = plan_of(SHELLS[shell], hangs)
    made = photometry_of(plan, 0)
    assert made is not None
    return plan, made


def test_the_flux_integrated_from_the_file_is_that_of_the_kind(case: tuple[Plan, Photometry]) -> None:
    plan, made = case
    found = read(ies_text(made))
    # Simpson's rule, which the tool does not use: integral of I sin(theta).
    theta, turn = np.radians(found.vertical), np.radians(found.horizontal)
    flux = simpson(simpson(found.candela * np.sin(theta), x=theta, axis=1), x=turn)
    kind = plan.optics.kinds[0]
    assert kind is not None
    assert flux == pytest.approx(float(kind.flux_out_lm.sum()), rel=0.01)
    assert found.header[:3] == [1, -1, 1]
    assert found.header[5:7] == [1, 2]


def test_an_intensity_of_the_file_is_that_of_the_light_in_its_direction(case: tuple[Plan, Photometry]) -> None:
    plan, made = case
    kind = plan.optics.kinds[0]
    assert kind is not None
    hangs = plan.assembly.display.kinds["float"].hangs
    # Straight down is where the tip points of what hangs tip down, and -x of what hangs on its side.
    down = np.array([[0.0, 0.0, 1.0]]) if hangs == "tip down" else np.array([[-1.0, 0.0, 0.0]])
    expected = float(intensity(kind.glow, down).sum())
    # What a shell that is not convex throws onto itself is put back by scaling: a few percent.
    assert read(ies_text(made)).candela[:, 0] == pytest.approx(np.full(25, expected), rel=0.05)


@pytest.mark.parametrize("hangs", ["tip down", "tip up", "on its side"])
def test_directions_are_right_handed_and_begin_straight_down(hangs: str) -> None:
    ways = type_c(hangs, np.array([0.0, 90.0, 180.0]), np.array([0.0, 90.0]))
    down, first, second = ways[0, 0], ways[0, 1], ways[1, 1]
    np.testing.assert_allclose(ways[:, 2], np.stack([-down, -down]), atol=1e-12)
    np.testing.assert_allclose(np.cross(first, second), -down, atol=1e-12)
    expected = {"tip down": [0, 0, 1], "tip up": [0, 0, -1], "on its side": [-1, 0, 0]}[hangs]
    np.testing.assert_allclose(down, expected, atol=1e-12)


def test_closed_forms_of_the_flux() -> None:
    v, h = np.linspace(0, 180, 37), np.linspace(0, 360, 25)
    # A source alike all round: 4 pi I. A flat disc: pi I0 (cosine), here within the error of straight pieces of 5 degrees.
    assert solid_angle_flux(v, h, np.full((25, 37), 2.0)) == pytest.approx(8.0 * np.pi, rel=1e-12)
    disc = np.maximum(np.cos(np.radians(v)), 0.0) * np.ones((25, 1))
    assert solid_angle_flux(v, h, disc) == pytest.approx(np.pi, rel=2e-3)


# What ies2rad of Radiance (pyradiance 1.3.1, run with -dm) makes of files with these openings: "sphere 0 0 0 0.075",
# "cylinder 0 0 0.06 to 0 0 -0.06, radius 0.04", and a box whose side along 0 degrees is the second number. It knows a
# horizontal cylinder only as something "not supported", so what lies on its side is the box around it.
READ_ELSEWHERE = [
    ("sphere", "tip down", [-0.15, -0.15, -0.15]),
    ("sphere", "on its side", [-0.15, -0.15, -0.15]),
    ("cylinder", "tip down", [-0.08, -0.08, 0.12]),
    ("cylinder", "on its side", [0.08, 0.12, 0.08]),
    ("box", "tip down", [0.06, 0.2, 0.15]),
    ("box", "on its side", [0.06, 0.15, 0.2]),
    ("bell", "tip down", [-0.12, -0.12, 0.1]),
]


@pytest.mark.parametrize(("shell", "hangs", "opening"), READ_ELSEWHERE)
def test_another_reader_of_the_file_sees_the_shape_of_the_shell(shell: str, hangs: str, opening: list[float]) -> None:
    made = photometry_of(plan_of(SHELLS[shell], hangs), 0)
    assert made is not None
    assert read(ies_text(made)).header[7:10] == pytest.approx(opening)


def test_any_name_stays_within_its_line(case: tuple[Plan, Photometry]) -> None:
    _, made = case
    found = read(ies_text(replace(made, name="Häng[e]\r\nlampe " * 20, about="灯" * 90)))
    assert "[" not in found.keywords["LUMCAT"]
    assert found.candela.shape == (25, 37)


def test_a_long_text_goes_on_with_whole_words(case: tuple[Plan, Photometry]) -> None:
    _, made = case
    about = "A small battery lantern, gutted; one round module of three LEDs on its floor, " * 3
    lines = ies_text(replace(made, about=about)).split("\r\n")
    first = next(i for i, line in enumerate(lines) if line.startswith("[LUMINAIRE] "))
    more = [line for line in lines[first + 1 :] if line.startswith("[MORE] ")]
    told = [lines[first].removeprefix("[LUMINAIRE] "), *(line.removeprefix("[MORE] ") for line in more)]
    assert len(more) >= 2
    assert " ".join(told).split() == about.split()


def test_what_is_no_light_is_refused(case: tuple[Plan, Photometry]) -> None:
    _, made = case
    with pytest.raises(ValueError, match="negative or no number"):
        ies_text(replace(made, candela=-made.candela))
