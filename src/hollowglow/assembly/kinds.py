"""Kinds as rows of numbers: current-voltage characteristic, data timing, colours, and the voltage that a light needs."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from hollowglow.assembly.tables import Floats, Kinds, LoadCharacteristics
from hollowglow.file import Display
from hollowglow.file.model.parts import ConstantCurrentLoad, ConstantPowerLoad, Light, ResistorLoad
from hollowglow.physics.colour import GENERIC_FLUX_LM, GENERIC_XY
from hollowglow.physics.loads import CLASS_CODES

MOST_COLOURS = 4
BITS_PER_COLOUR = 8


def light_of(display: Display, kind: str) -> Light:
    """Return the light part that fills a kind."""
    light = display.parts[display.kinds[kind].fill.light].light
    assert light is not None  # references are checked when the file is read
    return light


def lowest_voltage(light: Light) -> float:
    """Return the voltage below which a light no longer does its full work, V.

    What the part states, else by its law: a sink needs its last colour saturated, a buck its cutoff, a ballast one
    that still conducts in its highest colour.
    """
    load = light.load
    if light.minimum is not None:
        return light.minimum
    if isinstance(load, ConstantCurrentLoad):
        return max(load.turn_on) + load.saturation
    return load.cutoff if isinstance(load, ConstantPowerLoad) else load.series * max(load.forward)


def _rows(values: Sequence[Sequence[float]], fill: float = 0.0) -> Floats:
    table = np.full((len(values), MOST_COLOURS), fill)
    for row, given in enumerate(values):
        table[row, : len(given)] = given
    return table


def load_laws(lights: Sequence[Light]) -> LoadCharacteristics:
    """Return the current-voltage characteristics of the lights as a table, one row each."""
    constant_currents = [light.load if isinstance(light.load, ConstantCurrentLoad) else None for light in lights]
    resistors = [light.load if isinstance(light.load, ResistorLoad) else None for light in lights]
    constant_powers = [light.load if isinstance(light.load, ConstantPowerLoad) else None for light in lights]
    return LoadCharacteristics(
        code=np.array([CLASS_CODES[light.load.characteristic] for light in lights], dtype=np.int64),
        idle_a=np.array([light.load.idle for light in lights]),
        full_a=_rows([s.current if s else () for s in constant_currents]),
        turn_on_v=_rows([s.turn_on if s else () for s in constant_currents]),
        saturation_v=np.array([s.saturation if s else 1.0 for s in constant_currents]),
        series=np.array([float(b.series) if b else 1.0 for b in resistors]),
        parallel=np.array([float(b.parallel) if b else 1.0 for b in resistors]),
        forward_v=_rows([b.forward if b else () for b in resistors]),
        resistor_ohm=_rows([b.resistor if b else () for b in resistors], fill=np.inf),
        power_w=_rows([b.power if b else () for b in constant_powers]),
        efficiency=np.array([b.efficiency if b else 1.0 for b in constant_powers]),
        cutoff_v=np.array([b.cutoff if b else 1.0 for b in constant_powers]),
    )


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
