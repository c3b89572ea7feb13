"""Kinds as rows of numbers: current-voltage characteristic, data timing, colours, and the voltage that a light needs."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from hollowglow.assembly.tables import Floats, Kinds, LoadCharacteristics
from hollowglow.file import Display
from hollowglow.file.model.loads import CHARACTERISTICS
from hollowglow.file.model.parts import Light
from hollowglow.physics.colour import GENERIC_FLUX_LM, GENERIC_XY

MOST_COLOURS = 4
BITS_PER_COLOUR = 8


def light_of(display: Display, kind: str) -> Light:
    """Return the light part that fills a kind."""
    light = display.parts[display.kinds[kind].fill.light].light
    assert light is not None  # references are checked when the file is read
    return light


def lowest_voltage(light: Light) -> float:
    """Return the voltage below which a light no longer does its full work, V: what the part states, else what it needs."""
    return light.minimum if light.minimum is not None else light.load.lowest_v


def _rows(values: Sequence[Sequence[float]], fill: float = 0.0) -> Floats:
    table = np.full((len(values), MOST_COLOURS), fill)
    for row, given in enumerate(values):
        table[row, : len(given)] = given
    return table


def load_characteristics(lights: Sequence[Light]) -> LoadCharacteristics:
    """Return the current-voltage characteristics of the lights as a table, one row each."""
    code = [CHARACTERISTICS.index(type(light.load)) for light in lights]
    columns: dict[str, Floats] = {}
    for place, one in enumerate(CHARACTERISTICS):
        own = [light.load if found == place else None for light, found in zip(lights, code, strict=True)]
        for name, column in one.COLUMNS.items():
            if column.by_colour:
                columns[name] = _rows([getattr(load, column.key) if load else () for load in own], column.filler)
            else:
                columns[name] = np.array([float(getattr(load, column.key)) if load else column.filler for load in own])
    idle_a = np.array([light.load.idle for light in lights])
    return LoadCharacteristics(np.array(code, dtype=np.int64), idle_a, columns)


def expand_kinds(display: Display) -> Kinds:
    """Return one row for each kind of the display."""
    names = tuple(display.kinds)
    lights = [light_of(display, name) for name in names]
    fills = [display.kinds[name].fill for name in names]
    colour = [light.colour for light in lights]
    flux = [c.flux if c else GENERIC_FLUX_LM[: light.colours] for c, light in zip(colour, lights, strict=True)]
    xy = np.zeros((len(names), MOST_COLOURS, 2))
    xy[:] = np.asarray(GENERIC_XY)[:MOST_COLOURS]
    for row, stated in enumerate(colour):
        if stated is not None:
            xy[row, : len(stated.xy)] = stated.xy
    timing = [light.data for light in lights]
    return Kinds(
        names=names,
        lights=tuple(fill.light for fill in fills),
        nodes=np.array([fill.count for fill in fills], dtype=np.int64),
        emitters=np.array([light.emitters for light in lights], dtype=np.int64),
        colours=np.array([light.colours for light in lights], dtype=np.int64),
        ganged=np.array([fill.gang for fill in fills], dtype=bool),
        bits=np.array(
            [t.bits or BITS_PER_COLOUR * light.colours for t, light in zip(timing, lights, strict=True)],
            dtype=np.int64,
        ),
        bit_time_s=np.array([t.bit_time for t in timing]),
        reset_s=np.array([t.reset for t in timing]),
        nominal_v=np.array([light.voltage or np.nan for light in lights]),
        lowest_v=np.array([lowest_voltage(light) for light in lights]),
        flux_lm=_rows(flux),
        xy=xy,
    )
