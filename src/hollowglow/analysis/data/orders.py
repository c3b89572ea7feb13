"""The order of colours that a controller is told of an output, beside the order in which the lights take them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from hollowglow.assembly import Assembly
from hollowglow.assembly.kinds import MOST_COLOURS
from hollowglow.assembly.tables import Ints
from hollowglow.file import Display
from hollowglow.file.model.orders import LETTERS
from hollowglow.file.text.commands import Put
from hollowglow.messages import Code, Finding, Mend

COLOUR_ORDER = Code(
    "colour-order",
    "stop",
    "address",
    "the order that the lights' part states",
    ("controller", "number", "output", "sent", "parts", "orders", "props"),
)


def light_order(display: Display, part: str) -> str:
    """Return the order in which a light takes its colours, such as grb."""
    light = display.parts[part].light
    assert light is not None  # references are checked when the file is read
    return light.order or LETTERS[: light.colours]


@dataclass(frozen=True)
class StringOrder:
    """What a controller is told of one output; `stated` is None where it is not, and then the first light decides."""

    stated: str | None
    first: str

    @property
    def told(self) -> str:
        """Return the order that the controller sends in."""
        return self.stated or self.first

    def fits(self, display: Display, part: str) -> bool:
        """Return whether a light lights the colours that are meant."""
        own = light_order(display, part)
        return own == self.told or (self.stated is None and len(own) != len(self.first))

    def slots_of(self, display: Display, part: str) -> Ints:
        """Return which slot (0 the first of the cell) lights each colour of a light, shape (4,).

        The controller sends slot `told[k]` as byte k, and the chip lights colour `own[k]` with it. Where the told order
        has another count of colours, what the chip makes of it is not known, and the slots count as they stand.
        """
        own = light_order(display, part)
        slots = np.arange(MOST_COLOURS)
        if len(own) == len(self.told):
            for sent, lit in zip(self.told, own, strict=True):
                slots[LETTERS.index(lit)] = LETTERS.index(sent)
        return slots


def string_orders(assembly: Assembly) -> list[StringOrder]:
    """Return the order of each string of an Assembly."""
    display, strings = assembly.display, assembly.strings
    controllers = list(display.controllers.values())
    orders: list[StringOrder] = []
    for row in range(len(strings.names)):
        controller = controllers[int(strings.controller[row])]
        kind = int(assembly.props.kind[int(strings.first_prop[row])])
        stated = controller.orders.get(int(strings.output[row]))
        orders.append(StringOrder(stated, light_order(display, assembly.kinds.lights[kind])))
    return orders


def judge(assembly: Assembly) -> Iterator[Finding]:
    """Yield a finding for every string with lights that take their colours in another order than is sent to them."""
    display, strings = assembly.display, assembly.strings
    for row, order in enumerate(string_orders(assembly)):
        own = slice(int(strings.first_prop[row]), int(strings.first_prop[row + 1]))
        parts = list(dict.fromkeys(assembly.kinds.lights[k] for k in np.unique(assembly.props.kind[own]).tolist()))
        wrong = [part for part in parts if not order.fits(display, part)]
        if not wrong:
            continue
        lights = [assembly.kinds.lights[k] for k in assembly.props.kind[own].tolist()]
        affected = sum(light in wrong for light in lights)
        controller = assembly.controllers[int(strings.controller[row])]
        output = int(strings.output[row])
        orders = {light_order(display, part) for part in parts}
        mends = [Mend("apart")]
        if len(orders) == 1:
            wanted = orders.pop()
            kept = {str(number): known for number, known in display.controllers[controller].orders.items()}
            edit = Put(("controllers", controller, "orders"), {**kept, str(output): wanted})
            mends = [Mend("order", {"order": wanted}, (edit,))]
        yield COLOUR_ORDER.found(
            (strings.names[row], f"{controller}/{output}"),
            {
                "controller": controller,
                "number": output,
                "output": f"{controller}/{output}",
                "sent": order.told,
                "parts": tuple(wrong),
                "orders": tuple(light_order(display, part) for part in wrong),
                "props": affected,
            },
            mends,
        )
