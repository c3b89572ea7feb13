"""Slots, colours and duties of a frame, against a plain loop over the plan's own table."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hollowglow.analysis import data as signal
from hollowglow.assembly import Assembly, expand
from hollowglow.file import load_text
from hollowglow.messages.errors import DisplayError
from hollowglow.show.demand import AddressMap

FILE = """
display: Two boxes
supplies: {shed: {voltage: 12 V, rating: 100 W}}
controllers:
  box: {outputs: 4, first_universe: 7, gangs: true, curve: gamma 2.0BOX}
  hut: {outputs: 2, first_universe: 3, each_output: new universe}
parts:
  red-first:
    light:
      emitters: 1
      load: {class: constant-current, current: [9 mA, 9 mA, 9 mA], turn_on: [2 V, 3 V, 3 V], saturation: 1 V}
  green-first:
    light:
      emitters: 1
      order: grb
      load: {class: constant-current, current: [9 mA, 9 mA, 9 mA], turn_on: [2 V, 3 V, 3 V], saturation: 1 V}
  four:
    light:
      emitters: 1
      order: wrgb
      load: {class: constant-current, current: [9 mA, 9 mA, 9 mA, 9 mA], turn_on: [2 V, 3 V, 3 V, 3 V], saturation: 1 V}
kinds:
  float: {fill: {light: green-first, count: 6}}
  star: {fill: {light: red-first, count: 5, gang: false}}
  lamp: {fill: {light: four}}
strings:
  rail: {output: box/2, supply: shed, props: [3 * float, 2 * float], lead: {length: 2 m}, span: {length: 1 m}}
  roof: {output: box/1, supply: shed, props: 70 * star, lead: {length: 2 m}, span: {length: 1 m}}
  gate: {output: hut/1, supply: shed, props: 130 * lamp, lead: {length: 2 m}, span: {length: 1 m}}
levels: {float: 50 %}
trims: {float: [100 %, 80 %, 60 %]}
"""


def assembly(orders: str = "") -> Assembly:
    return expand(load_text(FILE.replace("BOX", orders)))


BUILD = assembly()
MAP = AddressMap.of(BUILD)


def slots_of(frame: np.ndarray, node: int, width: int) -> list[int]:
    """Read a node's slots by the plan's table, as a person would with a finger on it."""
    signalled = signal.analyse(BUILD)
    row = MAP.universes.index(int(signalled.universe[node]))
    first = int(signalled.slot[node]) - 1
    return [int(v) for v in frame[row, first : first + width]]


@settings(max_examples=20, deadline=None)
@given(seed=st.integers(0, 2**32 - 1))
def test_every_node_gets_the_colour_of_its_cell_at_the_slots_of_the_plan(seed: int) -> None:
    colours = np.random.default_rng(seed).integers(0, 256, (MAP.cells, 4)).astype(np.uint8)
    frame = MAP.frame(colours)
    duties = MAP.duties(frame)
    kinds = BUILD.kinds
    for node in range(0, len(BUILD.nodes.prop), 7):
        kind = int(BUILD.props.kind[BUILD.nodes.prop[node]])
        width = int(kinds.colours[kind])
        cell = int(MAP.node_cell[node])
        values = slots_of(frame, node, width)
        assert values == colours[cell, :width].tolist()
        gamma = 2.0 if kinds.names[kind] != "lamp" else 1.0
        trims = [0.5, 0.4, 0.3] if kinds.names[kind] == "float" else [1.0] * width
        for c in range(width):
            assert duties[node, c] == pytest.approx(trims[c] * (values[c] / 255.0) ** gamma, abs=1e-12)


@settings(max_examples=20, deadline=None)
@given(seed=st.integers(0, 2**32 - 1))
def test_colours_come_back_and_unused_slots_stay_at_zero(seed: int) -> None:
    colours = np.random.default_rng(seed).integers(0, 256, (MAP.cells, 3)).astype(np.uint8)
    frame = MAP.frame(colours)
    assert (MAP.colours(frame) == colours).all()
    used = np.zeros(frame.size, dtype=bool)
    used[MAP.cell_slot[MAP.cell_slot >= 0]] = True
    assert used.sum() == int(MAP.cell_colours.sum())
    assert not frame.reshape(-1)[~used].any()
    assert not MAP.full().reshape(-1)[~used].any()


def test_the_six_lights_of_a_prop_show_one_colour() -> None:
    # Common practice: a ganged prop takes one cell, and all of its lights repeat it.
    frame = MAP.frame(np.random.default_rng(4).integers(0, 256, (MAP.cells, 3)).astype(np.uint8))
    six = np.flatnonzero(BUILD.nodes.prop == 2)
    assert len(six) == 6
    assert len(np.unique(MAP.duties(frame)[six], axis=0)) == 1


def test_full_slots_are_the_worst_case_of_the_plan() -> None:
    loads = MAP.load_nodes @ MAP.duties(MAP.full())
    np.testing.assert_allclose(loads, BUILD.network.duty[BUILD.network.load_characteristic], rtol=0, atol=1e-15)


def test_a_wrongly_told_order_shows_in_the_colours_and_not_in_the_slots() -> None:
    # Slots are red, green, blue. Told rgb, the controller sends red first; the chip takes green first: red shows green.
    wrong = AddressMap.of(assembly(", orders: {2: rgb}"))
    colours = np.zeros((wrong.cells, 3), dtype=np.uint8)
    colours[0] = (255, 20, 7)
    frame = wrong.frame(colours)
    assert (frame == MAP.frame(colours)).all()
    assert wrong.colours(frame)[0].tolist() == [20, 255, 7]


@pytest.mark.parametrize(("told", "seen"), [("brg", [7, 255, 20]), ("gbr", [20, 7, 255])])
def test_sent_byte_by_byte(told: str, seen: list[int]) -> None:
    """Byte k is the slot of the k-th told letter, and the chip (grb) lights its own k-th letter with it."""
    slots = dict(zip("rgb", (255, 20, 7), strict=True))
    wire = [slots[letter] for letter in told]
    lit = dict(zip("grb", wire, strict=True))
    wrong = AddressMap.of(assembly(f", orders: {{2: {told}}}"))
    colours = np.zeros((wrong.cells, 3), dtype=np.uint8)
    colours[0] = (255, 20, 7)
    assert wrong.colours(wrong.frame(colours))[0].tolist() == [lit[c] for c in "rgb"]


def test_a_wrong_order_is_a_finding_with_its_mend() -> None:
    wrong = assembly(", orders: {2: rgb}")
    (found,) = (f for f in signal.judge(wrong, signal.analyse(wrong)) if f.code == "colour-order")
    assert found.where == ("rail", "box/2")
    assert found.message == (
        "box/2 sends colours in the order rgb, but green-first takes grb: 5 props light up in wrong colours."
    )
    assert found.mend == "Set orders: {2: grb} at box, and the same in the controller itself."
    right = assembly(", orders: {2: grb}")
    assert not [f for f in signal.judge(right, signal.analyse(right)) if f.code == "colour-order"]


@pytest.mark.parametrize(
    ("orders", "words"),
    [
        ("{2: rgg}", 'letters of the colours in their order, like "grb" or "grbw"'),
        ("{two: grb}", "the number of an output of this controller, like 1"),
    ],
)
def test_what_is_no_order_is_refused(orders: str, words: str) -> None:
    with pytest.raises(DisplayError, match="orders") as caught:
        assembly(f", orders: {orders}")
    assert words in str(caught.value)


def test_an_order_has_a_letter_for_each_colour() -> None:
    with pytest.raises(DisplayError, match="3 letters in order"):
        load_text(FILE.replace("BOX", "").replace("order: wrgb", "order: rgb"))
