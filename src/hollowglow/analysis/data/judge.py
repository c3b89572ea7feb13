"""What the chain and its addresses mean for the builder: findings about length, rate and universes."""

from __future__ import annotations

import math
from collections.abc import Iterator

from hollowglow.analysis.data import orders
from hollowglow.analysis.data.analyse import Signal
from hollowglow.analysis.edits import put
from hollowglow.assembly import Assembly
from hollowglow.file.model.display import LAST_UNIVERSE
from hollowglow.file.text.commands import Put
from hollowglow.messages import Code, Finding, Mend
from hollowglow.quantity.measures import RATE
from hollowglow.quantity.quantities import rate as hertz
from hollowglow.quantity.quantities import time

RATE_SLACK = 1e-9
CHAIN_TOO_LONG = Code(
    "chain-too-long",
    "stop",
    "address",
    "the controller's nodes per output",
    ("string", "output", "nodes", "cells", "most"),
    "which props move to which output is the builder's choice",
)
RATE_NOT_REACHED = Code(
    "rate-not-reached",
    "warn",
    "address",
    "bit time x bits x nodes + reset, from driver data sheets",
    ("output", "nodes", "frame_time", "reached", "asked"),
)
UNIVERSE_PAST_LAST = Code(
    "universe-past-last",
    "stop",
    "address",
    "ANSI E1.31-2018: universes 1 to 63999; the controller's own number of universes",
    ("string", "last", "most"),
    "another beginning, ganged nodes or another controller: any of them changes what is built",
)
UNIVERSE_SHARED = Code(
    "universe-shared",
    "warn",
    "address",
    "ANSI E1.31-2018: a universe's slots mean the same to every receiver",
    ("first", "second", "universe"),
)
CODES = (CHAIN_TOO_LONG, RATE_NOT_REACHED, UNIVERSE_PAST_LAST, UNIVERSE_SHARED)


def _shared(assembly: Assembly, signal: Signal) -> Iterator[Finding]:
    outputs = signal.outputs
    taken: dict[int, int] = {}
    told: set[tuple[int, int]] = set()
    rows = zip(
        outputs.controller.tolist(), outputs.first_universe.tolist(), outputs.last_universe.tolist(), strict=True
    )
    for which, first, last in rows:
        for universe in range(first, last + 1):
            other = taken.setdefault(universe, which)
            if other != which and (other, which) not in told:
                told.add((other, which))
                names = (assembly.controllers[other], assembly.controllers[which])
                free = int(outputs.last_universe[outputs.controller == other].max()) + 1
                apart = Put(("controllers", names[1], "first_universe"), free)
                yield UNIVERSE_SHARED.found(
                    names,
                    {"first": names[0], "second": names[1], "universe": universe},
                    [Mend("apart", {"free": free}, (apart,))],
                )


def output_name(assembly: Assembly, controller: int, output: int) -> str:
    """Return the name of an output such as box/1."""
    return f"{assembly.controllers[controller]}/{output}"


def judge(assembly: Assembly, signal: Signal) -> Iterator[Finding]:
    """Yield every finding about data."""
    yield from _shared(assembly, signal)
    yield from orders.judge(assembly)
    outputs = signal.outputs
    for i in range(len(outputs.string)):
        which = int(outputs.controller[i])
        controller = assembly.display.controllers[assembly.controllers[which]]
        where = output_name(assembly, which, int(outputs.number[i]))
        string = assembly.strings.names[int(outputs.string[i])]
        nodes, cells = int(outputs.chain_nodes[i]), int(outputs.cells[i])
        if nodes > controller.nodes_per_output:
            most = controller.nodes_per_output
            yield CHAIN_TOO_LONG.found(
                (where, string),
                {"string": string, "output": where, "nodes": nodes, "cells": cells, "most": most},
                [Mend("move-props", {"over": nodes - most})],
            )
        rate = float(outputs.max_rate_hz[i])
        if rate < controller.rate * (1.0 - RATE_SLACK):
            reset = float(outputs.reset_s[i])
            a_node = (float(outputs.frame_time_s[i]) - reset) / nodes
            fits = max(0, int((1.0 / controller.rate - reset) / a_node * (1.0 + RATE_SLACK)))
            asked = math.floor(rate) if rate >= 10.0 else math.floor(rate * 10.0) / 10.0
            mends = [Mend("shorter-chain", {"fits": fits})]
            if asked >= RATE.low:
                slower = hertz(asked)
                path = ("controllers", assembly.controllers[which], "rate")
                mends.append(Mend("slower", {"slower": slower}, (put(path, slower),)))
            yield RATE_NOT_REACHED.found(
                (where, string),
                {
                    "output": where,
                    "nodes": nodes,
                    "frame_time": time(float(outputs.frame_time_s[i])),
                    "reached": hertz(rate),
                    "asked": hertz(controller.rate),
                },
                mends,
            )
        last = int(outputs.last_universe[i])
        most = LAST_UNIVERSE
        if controller.universes is not None:
            most = min(most, controller.first_universe + controller.universes - 1)
        if last > most:
            yield UNIVERSE_PAST_LAST.found((where, string), {"string": string, "last": last, "most": most})
