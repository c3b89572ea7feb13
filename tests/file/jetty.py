"""The smallest display file that must work, as a text for the tests to change."""

from __future__ import annotations

from hollowglow.file import load_text
from hollowglow.messages.errors import DisplayError

JETTY = """\
display: Jetty sample
ambient: 5 degC              # conductor temperature for resistances; default 20 degC
supplies:
  shed: {voltage: 12 V, rating: 100 W, resistance: 20 mohm}
controllers:
  box: {outputs: 4, nodes_per_output: 600, rate: 40 Hz, first_universe: 1, gangs: true}   # gangs: can repeat one cell over ganged nodes
parts:                        # same schema as the built-in catalogue
  test-constant-current:
    light: {emitters: 1, load: {class: constant-current, current: [18.5 mA, 18.5 mA, 18.5 mA], turn_on: [2.0 V, 3.0 V, 3.1 V], saturation: 0.6 V, idle: 1 mA}}
  test-constant-power:
    light: {emitters: 3, load: {class: constant-power, power: [0.10 W, 0.12 W, 0.12 W], efficiency: 0.85, cutoff: 7 V, idle: 1 mA}}
  test-resistor:
    light: {emitters: 9, load: {class: resistor, series: 3, parallel: 3, forward: [2.0 V, 3.0 V, 3.1 V], resistor: [330 ohm, 150 ohm, 150 ohm], idle: 1 mA}}
  test-cable: {cable: {cores: 3, size: 20 AWG}}        # or size: 0.75 mm2, or resistance: 0.0335 ohm/m
  test-splice: {joint: {resistance: 5 mohm, rating: 5 A}}
kinds:
  float:
    shell: {shape: sphere, diameter: 150 mm, transmittance: 0.45, reflectance: 0.45}
    fill: {light: test-constant-current, count: 5, gang: true}
    pigtail: {cable: test-cable, length: 150 mm}        # inside each prop, in and out
strings:
  rail:
    output: box/1
    supply: shed
    props: 12 * float          # or a list: [float, 3 * acorn, float]
    lead: {cable: test-cable, length: 4 m}
    span: {cable: test-cable, length: 1.8 m, joint: test-splice}   # one joint at each end of a span
    fuse: 5 A                  # in V+ at the supply end of the lead; optional
    feeds:
      - {before: 7, supply: shed, cable: test-cable, length: 12 m, fuse: 5 A, cut: false}   # cut: true breaks V+ there
levels: {float: 100 %}
"""  # noqa: E501 - the text is fixed

FILE = "jetty.yaml"


def jetty(*changes: tuple[str, str]) -> str:
    """The file with each first text replaced by the second; the first must stand in it."""
    text = JETTY
    for old, new in changes:
        assert old in text, f"{old!r} does not stand in the file"
        text = text.replace(old, new, 1)
    return text


def complaints(text: str) -> list[str]:
    """What a person reads about a text, one message a line; nothing where it loads."""
    try:
        load_text(text, FILE)
    except DisplayError as error:
        return str(error).splitlines()
    return []


def complaint(*changes: tuple[str, str]) -> str:
    """The only message about the changed file."""
    found = complaints(jetty(*changes))
    assert len(found) == 1, found
    return found[0]
