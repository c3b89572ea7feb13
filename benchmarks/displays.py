"""Display files of any size, so that what is measured starts where a person starts."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

Form = Literal["props", "single", "faulty", "bare", "knees"]

NODES_A_STRING = 200
_STRINGS_A_SUPPLY = 4

# 200 of these lights draw 3.2 A. Their three colours start at three voltages, as those of real ones do.
_PARTS = """\
parts:
  small-light:
    light:
      emitters: 1
      load: {class: constant-current, current: [5 mA, 5 mA, 5 mA], turn_on: [6 V, 8 V, 8.1 V], saturation: 0.6 V, idle: 1 mA}
  thick: {cable: {cores: 3, size: 16 AWG}}
  thin: {cable: {cores: 3, size: 22 AWG}}
  splice: {joint: {resistance: 0.5 mohm, rating: 10 A}}
kinds:
  five:
    fill: {light: small-light, count: 5, gang: true, wiring: {cable: thick, length: 30 mm}}
    pigtail: {cable: thick, length: 30 mm}
  single:
    fill: {light: small-light}
    pigtail: {cable: thick, length: 20 mm}
  bare:
    fill: {light: small-light}
"""

_STRINGS = {
    "props": ("40 * five", "thick, length: 2 m", "thick, length: 150 mm, joint: splice"),
    "single": ("200 * single", "thick, length: 2 m", "thick, length: 30 mm, joint: splice"),
    "faulty": ("40 * five", "thin, length: 8 m", "thin, length: 150 mm, joint: splice"),
    "bare": ("200 * bare", "thick, length: 2 m", "thick, length: 50 mm"),
    "knees": ("200 * bare", "thin, length: 12 m", "thin, length: 100 mm"),
}


def display_text(form: Form, nodes: int) -> str:
    """Return a display file of so many nodes in strings of 200, each node at its own place in the circuit.

    Args:
        form: "props" has 40 props of five wired lights a string; "single" has 200 props of one light, which makes
            the most cables and joints; "faulty" is "props" on cable so thin that every string earns findings;
            "bare" has no pigtails or joints, and its lights stay saturated; "knees" is "bare" on such long thin
            cable that its lights sag into and below their knees.
        nodes: a multiple of 200.
    """
    strings, left = divmod(nodes, NODES_A_STRING)
    if left or not strings:
        raise ValueError(f"{nodes} nodes do not fill strings of {NODES_A_STRING}")
    props, lead, span = _STRINGS[form]
    supplies = -(-strings // _STRINGS_A_SUPPLY)
    text = [f"display: {nodes} nodes\nambient: 5 degC\n"]
    text.append(f"controllers:\n  box: {{outputs: {strings}, nodes_per_output: 600, rate: 40 Hz, gangs: true}}\n")
    text.append(_PARTS + "supplies:\n")
    text += [f"  shed{i}: {{voltage: 12 V, rating: 200 W, resistance: 10 mohm}}\n" for i in range(supplies)]
    text.append("strings:\n")
    for i in range(strings):
        text.append(
            f"  run{i}:\n    output: box/{i + 1}\n    supply: shed{i // _STRINGS_A_SUPPLY}\n    props: {props}\n"
            f"    lead: {{cable: {lead}}}\n    span: {{cable: {span}}}\n    fuse: 5 A\n"
        )
    return "".join(text)


def write_display(folder: Path, form: Form, nodes: int) -> Path:
    """Write a display file into a folder and return its path; arguments as for `display_text`."""
    path = folder / f"{form}-{nodes}.yaml"
    path.write_text(display_text(form, nodes), encoding="utf-8")
    return path
