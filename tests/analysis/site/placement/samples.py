"""A small display with places."""

from __future__ import annotations

FILE = "yard.yaml"
YARD = """\
display: Yard
place: {plane: wall, slack: 5 %}
drip_loop: 50 mm
supplies:
  shed: {voltage: 12 V, rating: 100 W, at: [0 m, 0 m]}
controllers:
  box: {outputs: 4, at: [0 m, 1 m]}
kinds:
  float: {fill: {light: bullet-12mm-12v, count: 3}, pigtail: {length: 100 mm}}
strings:
  rail:
    output: box/1
    supply: shed
    props: 5 * float
    lead: {length: drawn}
    span: {length: drawn}
    feeds: [{before: 4, supply: shed, length: drawn}]
    place: {line: [[3 m, 4 m], [4 m, 4 m], [4 m, 3 m]], pitch: 0.4 m}
"""


def yard(*changes: tuple[str, str]) -> str:
    """The display with pieces of its text replaced; each must be there once."""
    text = YARD
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text
