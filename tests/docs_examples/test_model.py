"""What docs/model.md says in numbers: its defaults, the ladder in closed form, the time of a frame."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Annotated, Any

import numpy as np
import pytest
from pydantic import TypeAdapter
from ruamel.yaml import YAML

from hollowglow.analysis.circuit.power import analyse
from hollowglow.analysis.data.analyse import frame_time_s
from hollowglow.assembly import expand
from hollowglow.file.model.display import Controller, Display, Feed, Feeding, Labour, Limits
from hollowglow.file.model.kind import DEFAULT_CABLE, Carrier, Drain, Fill, Shell, Switch
from hollowglow.file.model.loads import ConstantCurrentLoad, ConstantPowerLoad, ResistorLoad
from hollowglow.file.model.parts import Cable, DataTiming, Light
from hollowglow.file.model.site import SetOut, Yard
from hollowglow.file.model.storage import Packing, Spares
from hollowglow.file.model.tolerances import Tolerances
from hollowglow.file.reading.load import load_text

PAGE = (Path(__file__).resolve().parents[2] / "docs" / "model.md").read_text(encoding="utf-8")
ROWS = dict(re.findall(r"^\| `([\w.]+)` \| ([^|]+?) \|", PAGE.partition("## 12. Defaults")[2], re.MULTILINE))
MODELS: dict[str, tuple[Any, ...]] = {
    "": (Display,),
    "controllers": (Controller,),
    "fill": (Fill,),
    "shell": (Shell,),
    "shell.switch": (Switch,),
    "carrier": (Carrier,),
    "drain": (Drain,),
    "feeds": (Feed,),
    "cable": (Cable,),
    "light": (Light,),
    "light.data": (DataTiming,),
    "light.load": (ConstantCurrentLoad, ResistorLoad, ConstantPowerLoad),
    "limits": (Limits,),
    "place": (Yard,),
    "strings.place": (SetOut,),
    "feeding": (Feeding,),
    "labour": (Labour,),
    "tolerances": (Tolerances,),
    "spares": (Spares,),
    "packing": (Packing,),
}
# What is not a default of a model: a level that is not stated, a supply that is no part, colours that nobody put in order.
OTHERWISE = {
    "levels": "100 %",
    "supplies.resistance": "0 ohm",
    "light.order": "rgb",
    "controllers.orders": "that of the lights",
}


def read(model: Any, name: str, shown: str) -> Any:
    """The value of a field when the page's text stood in a display file."""
    field = model.model_fields[name]
    plain = YAML(typ="safe", pure=True).load(shown)
    kind: Any = Annotated[field.annotation, *field.metadata, "as the file states it"]
    return TypeAdapter(kind).validate_python(plain)


@pytest.mark.parametrize("key", sorted(ROWS.keys() - OTHERWISE.keys()))
def test_a_default_in_the_table_is_that_of_the_code(key: str) -> None:
    place, _, name = key.rpartition(".")
    for model in MODELS[place]:
        assert model.model_fields[name].default == pytest.approx(read(model, name, ROWS[key])), key


def test_the_table_has_every_default_that_is_a_number_or_a_choice() -> None:
    for place, models in MODELS.items():
        for name, field in models[0].model_fields.items():
            if field.default.__class__ in (float, int, bool) or name in (
                "currency",
                "strand",
                "each_output",
                "cable_varies",
            ):
                assert f"{place}.{name}".lstrip(".") in ROWS
    assert OTHERWISE.items() <= ROWS.items()
    assert f"`{DEFAULT_CABLE}`" in PAGE


# Equal currents i at equal steps of R in each conductor: the k-th drop is 2 R i times the sum over j up to k of (N - j + 1).
@pytest.mark.parametrize("count", [2, 10, 50, 200])
def test_a_ladder_of_saturated_lights_is_the_closed_form_of_the_page(count: int) -> None:
    assembly = expand(load_text(LADDER.format(count=count)))
    power = analyse(assembly)
    k = np.arange(1, count + 1)
    drop_v = 2 * 0.05 * 0.003 * (k * count - k * (k - 1) / 2)
    np.testing.assert_allclose(power.across_v, 24.0 - drop_v, rtol=0.0, atol=1e-13)
    all_at_the_end_v = 2 * 0.05 * count * 0.003 * count
    assert (24.0 - power.across_v[-1]) / all_at_the_end_v == pytest.approx((count + 1) / (2 * count), rel=1e-9)


# 1000 nodes of 24 bits of 1.25 us and a reset of 300 us are 30.3 ms by hand.
def test_1000_nodes_reach_33_frames_a_second() -> None:
    time_s = frame_time_s(np.full(1000, 1.25e-6), np.full(1000, 24.0), 300e-6)
    assert round(time_s * 1e3, 1) == 30.3
    assert round(1.0 / time_s, 1) == 33.0


LADDER = """
display: a ladder
supplies: {{shed: {{voltage: 24 V, rating: 500 W}}}}
controllers: {{box: {{outputs: 1}}}}
parts:
  dot:
    light:
      emitters: 1
      load: {{class: constant-current, current: [1 mA, 1 mA, 1 mA], turn_on: [2 V, 2 V, 2 V], saturation: 0.5 V}}
  wire: {{cable: {{resistance: 0.05 ohm/m}}}}
kinds: {{point: {{fill: {{light: dot}}}}}}
strings:
  row:
    output: box/1
    supply: shed
    props: {count} * point
    lead: {{cable: wire, length: 1 m}}
    span: {{cable: wire, length: 1 m}}
"""
