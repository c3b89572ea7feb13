"""What the chain and its addresses mean for the builder: findings about length, rate and universes."""

from __future__ import annotations

import math
from collections.abc import Iterator

from hollowglow.analysis.data import orders
from hollowglow.analysis.data.analyse import Signal
from hollowglow.assembly import Assembly
from hollowglow.file.model.display import LAST_UNIVERSE
from hollowglow.messages import Finding, finding
from hollowglow.quantity.measures import RATE
from hollowglow.quantity.numbers import number

RATE_SLACK = 1e-9


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
                yield finding(
                    "universe-shared",
                    names,
                    f"{names[0]} and {names[1]} both use universe {universe:,}.",
                    f"Give {names[1]} first_universe: {free}, unless they are meant to show the same.",
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
            over = nodes - controller.nodes_per_output
            ganged = f" ({cells:,} cells)" if cells != nodes else ""
            yield finding(
                "chain-too-long",
                (where, string),
                f"{string} has {nodes:,} nodes{ganged}, {where} drives {controller.nodes_per_output:,}.",
                f"Move props with at least {over:,} node{'s' if over > 1 else ''} to another output, or use modules with "
                "fewer driver chips.",
            )
        rate = float(outputs.max_rate_hz[i])
        if rate < controller.rate * (1.0 - RATE_SLACK):
            reset = float(outputs.reset_s[i])
            a_node = (float(outputs.frame_time_s[i]) - reset) / nodes
            fits = max(0, int((1.0 / controller.rate - reset) / a_node * (1.0 + RATE_SLACK)))
            asked = math.floor(rate) if rate >= 10.0 else math.floor(rate * 10.0) / 10.0
            shorter = f"Keep the chain under about {fits:,} nodes" if fits > 0 else "Use lights with a shorter reset"
            slower = f", or ask for {asked:g} Hz." if asked >= RATE.low else ", or spread them over several outputs."
            yield finding(
                "rate-not-reached",
                (where, string),
                f"One frame of {nodes:,} nodes takes {float(outputs.frame_time_s[i]) * 1e3:.2f} ms, so {where} reaches "
                f"{number(rate)} of the asked {number(controller.rate)} frames a second.",
                f"{shorter}{slower}",
            )
        last = int(outputs.last_universe[i])
        most = LAST_UNIVERSE
        if controller.universes is not None:
            most = min(most, controller.first_universe + controller.universes - 1)
        if last > most:
            yield finding(
                "universe-past-last",
                (where, string),
                f"{string} needs universes up to {last:,}; the last one there is {most:,}.",
                "Begin at a lower first_universe, gang more nodes, or use another controller.",
            )
