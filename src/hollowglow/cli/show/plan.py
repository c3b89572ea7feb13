"""A plan on the terminal: the numbers that matter, findings, a picture, then tables."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from rich.console import Console
from rich.padding import Padding
from rich.text import Text

from hollowglow.analysis.data import output_name
from hollowglow.analysis.money.cost import JoiningWay
from hollowglow.cli.show.kinds import show_kinds
from hollowglow.cli.show.safety import show_class2, show_faults, show_mains
from hollowglow.cli.show.tables import print_table, table
from hollowglow.cli.show.ways import WAYS
from hollowglow.draw.sheet.terminal import to_text
from hollowglow.file.reading.equal_defaults import grouped
from hollowglow.jobs.start.first_string import next_line
from hollowglow.jobs.start.parts import Number, PartLine
from hollowglow.messages import SEVERITY_WORDS, Finding, Severity, severity_count
from hollowglow.plan import Plan
from hollowglow.quantity.numbers import number
from hollowglow.quantity.words import amps, metres, percent, volts, watts
from hollowglow.view.pictures.circuit import string_profile

LOOKS: dict[Severity, str] = {"stop": "bold red", "warn": "yellow", "note": "cyan"}
MOST_ROWS = 40
MOST_NAMES = 100
_FEW = 3
PLOT_ROWS = 20


def show_findings(console: Console, plan: Plan) -> None:
    """Print the findings, gravest first, each with its reason and its mend."""
    counts = {s: sum(1 for f in plan.findings if f.severity == s) for s in LOOKS}
    if not plan.assembly.strings.names:
        console.print("This file has no strings yet, so there is nothing to light, to feed or to address.")
        console.print("What it lacks next is a line such as")
        console.print(next_line(plan.assembly.display), style="green", soft_wrap=True)
        if not plan.findings:
            return
        console.print()
    if not plan.findings:
        console.print("Nothing found that speaks against this display.", style="bold")
        return
    if counts["stop"] or counts["warn"]:
        words = [severity_count(s, n) for s, n in counts.items() if n]
        console.print(Text("Findings: " + ", ".join(words), style="bold"))
    else:
        console.print("Nothing found that speaks against this display.", style="bold")
    for finding in plan.findings[:MOST_ROWS]:
        _show_finding(console, finding)
    if len(plan.findings) > MOST_ROWS:
        console.print(f"... and {len(plan.findings) - MOST_ROWS:,} more (--json or --csv has all)", style="dim")


def _show_finding(console: Console, finding: Finding) -> None:
    look = LOOKS[finding.severity]
    console.print(
        Text.assemble((f"{SEVERITY_WORDS[finding.severity].upper()} ", look), finding.message), soft_wrap=False
    )
    console.print(Padding(Text.assemble(("mend  ", "green"), finding.mend_told(ways=WAYS)), (0, 0, 0, 5), expand=False))
    console.print(
        Padding(Text.assemble(f"why   {finding.basis}  [{finding.code}]", style="dim"), (0, 0, 0, 5), expand=False)
    )


def show_plan(console: Console, plan: Plan, string: int | None = None) -> None:
    """Print the plan of a display.

    Args:
        console: where to.
        plan: the plan.
        string: row of the string to plot; the one that fares worst where None.
    """
    _headline(console, plan)
    console.print()
    show_findings(console, plan)
    if plan.assembly.strings.names:
        row = worst_string(plan) if string is None else string
        console.print()
        drawing = string_profile(plan, row)
        console.print(Text(to_text(drawing, min(console.width, 100), PLOT_ROWS, unicode=_unicode(console))))
        _strings(console, plan)
    show_kinds(console, plan, MOST_ROWS)
    _supplies(console, plan)
    _fuses(console, plan)
    for show in (show_faults, show_mains, show_class2):
        show(console, plan, MOST_ROWS // 2)
    _bill(console, plan)
    _joining(console, plan)
    _work(console, plan)
    _assumptions(console, plan)


def _unicode(console: Console) -> bool:
    return (console.encoding or "").lower().startswith("utf")


def worst_string(plan: Plan) -> int:
    """Return the row of the string whose lights get the smallest share of their nominal voltage."""
    assembly, power = plan.assembly, plan.power
    share = power.coincident_v / np.maximum(assembly.kinds.lowest_v[assembly.network.load_characteristic], 0.1)
    share = np.where(np.isnan(share), -1.0, share)
    load = int(np.argmin(share))
    node = int(np.searchsorted(assembly.nodes.load, load))
    return int(assembly.props.string[assembly.nodes.prop[node]])


def _headline(console: Console, plan: Plan) -> None:
    assembly, power = plan.assembly, plan.power
    cost = plan.cost
    emitters = int((assembly.kinds.nodes * assembly.kinds.emitters)[assembly.props.kind].sum())
    total = float(np.sum(power.mean.supply_a * assembly.network.supply_v))
    lit = power.coincident_v[power.alive]
    lowest = float(np.nanmin(lit)) if len(lit) and not np.isnan(lit).all() else float("nan")
    console.print(Text(assembly.display.display, style="bold"))
    console.print(
        f"{_count(len(assembly.strings.names), 'string')}, {_count(len(assembly.props.string), 'prop')}, "
        f"{_count(emitters, 'LED package')}, {_count(len(assembly.nodes.prop), 'node')}, "
        f"{_count(int(plan.signal.outputs.cells.sum()), 'cell')}, {_universes(plan)}"
    )
    if not assembly.strings.names:
        return
    unpriced = f" (without {_count(len(cost.bill.unpriced), 'part')} of unknown price)" if cost.bill.unpriced else ""
    console.print(
        f"{watts(total)} at full white and the file's levels, lowest voltage at a light {volts(lowest)}, "
        f"parts {cost.bill.total:,.2f} {cost.bill.currency}{unpriced}, "
        f"about {_count(max(1, round(cost.minutes / 60)), 'hour')} of work (estimate)"
    )


def _count(number: int, word: str) -> str:
    return f"{number:,} {word}" if number == 1 else f"{number:,} {word}s"


def _universes(plan: Plan) -> str:
    used: set[int] = set()
    outputs = plan.signal.outputs
    for first, last in zip(outputs.first_universe.tolist(), outputs.last_universe.tolist(), strict=True):
        used.update(range(first, last + 1))
    return _count(len(used), "universe")


def _strings(console: Console, plan: Plan) -> None:
    assembly, power, outputs = plan.assembly, plan.power, plan.signal.outputs
    shown = table(
        "Strings (addresses: --csv FOLDER)",
        "string",
        "output",
        "props",
        "nodes",
        "cells",
        "universe/slot",
        "frame",
        "lowest",
        "least light",
        "shift Δu′v′",
        right=(2, 3, 4, 6, 7, 8, 9),
    )
    for i, row in list(enumerate(outputs.string.tolist()))[:MOST_ROWS]:
        nodes = slice(int(assembly.strings.first_node[row]), int(assembly.strings.first_node[row + 1]))
        load = np.unique(assembly.nodes.load[nodes])
        shift = power.chromaticity_shift[load]
        shown.add_row(
            assembly.strings.names[row],
            output_name(assembly, int(outputs.controller[i]), int(outputs.number[i])),
            f"{int(assembly.strings.first_prop[row + 1] - assembly.strings.first_prop[row]):,}",
            f"{int(outputs.chain_nodes[i]):,}",
            f"{int(outputs.cells[i]):,}",
            _slots(plan, nodes),
            f"{float(outputs.frame_time_s[i]) * 1e3:.2f} ms",
            volts(float(np.min(power.coincident_v[load]))),
            percent(float(np.min(power.light[load]))),
            "dark" if np.isnan(shift).all() else f"{float(np.nanmax(shift)):.3f}",
        )
    print_table(console, shown, len(outputs.string), MOST_ROWS, "--json or --csv has all")


def _slots(plan: Plan, nodes: slice) -> str:
    universe, slot = plan.signal.universe[nodes], plan.signal.slot[nodes]
    kind = plan.assembly.props.kind[plan.assembly.nodes.prop[nodes][-1]]
    last = int(slot[-1] + plan.assembly.kinds.colours[kind] - 1)
    return f"{universe[0]}/{slot[0]} to {universe[-1]}/{last}"


def _supplies(console: Console, plan: Plan) -> None:
    assembly = plan.assembly
    shown = table("Supplies", "supply", "voltage", "delivers", "rating", "load", right=(1, 2, 3, 4))
    power = plan.power.mean.supply_a * assembly.network.supply_v
    for i, name in list(enumerate(assembly.supplies))[:MOST_ROWS]:
        rating = float(assembly.supply_rating_w[i])
        shown.add_row(
            name,
            volts(float(assembly.network.supply_v[i])),
            f"{watts(float(power[i]))} ({amps(float(plan.power.mean.supply_a[i]))})",
            watts(rating),
            percent(float(power[i]) / rating),
        )
    print_table(console, shown, len(assembly.supplies), MOST_ROWS, "--json or --csv has all")


def _fuses(console: Console, plan: Plan) -> None:
    from hollowglow.assembly.ids import fuse_ids

    fuses = plan.assembly.fuses
    if not len(fuses.edge):
        return
    shown = table("Fuses", "fuse", "rating", "carries", "share", right=(1, 2, 3))
    rows = range(min(len(fuses.edge), MOST_ROWS))
    carried = np.abs(plan.power.mean.edge_plus_a[fuses.edge])
    for i, name in zip(rows, fuse_ids(plan.assembly, rows), strict=True):
        rating, here = float(fuses.rating_a[i]), float(carried[i])
        shown.add_row(name, amps(rating), amps(here), percent(here / rating))
    print_table(console, shown, len(fuses.edge), MOST_ROWS, "--json or --csv has all")


def _bill(console: Console, plan: Plan) -> None:
    bill = plan.cost.bill
    shown = table(f"Bill ({bill.currency})", "part", "quantity", "each", "total", "what it is", right=(1, 2, 3))
    for line in bill.lines[:MOST_ROWS]:
        quantity = metres(line.quantity) if line.unit == "m" else f"{line.quantity:,.0f}"
        price = "-" if line.price is None else f"{line.price:,.2f}"
        total = "-" if line.total is None else f"{line.total:,.2f}"
        shown.add_row(line.part, quantity, price, total, line.about)
    print_table(console, shown, len(bill.lines), MOST_ROWS, "--json or --csv has all")


def _joining(console: Console, plan: Plan) -> None:
    joining = plan.cost.joining
    if not joining:
        return
    currency = plan.cost.bill.currency
    shown = table(
        "Spliced or plugged, spans and joints only (volts: estimate at this plan's currents)",
        "string",
        "way",
        "parts",
        currency,
        "minutes",
        "joints",
        "volts lost",
        right=(3, 4, 5, 6),
    )
    for both in joining[: MOST_ROWS // 2]:
        for way in (both.spliced, both.plugged):
            shown.add_row(both.string if way is both.spliced else "", *_way(way))
    print_table(console, shown, len(joining), MOST_ROWS // 2, "--json has all")


def _way(way: JoiningWay) -> tuple[str, ...]:
    return (
        way.how + (" (as drawn)" if way.as_stated else ""),
        ", ".join(way.parts),
        "-" if way.cost is None else f"{way.cost:,.2f}",
        f"{way.minutes:.0f}",
        f"{way.joints:,}",
        volts(way.drop_v),
    )


def _work(console: Console, plan: Plan) -> None:
    shown = table("Work (estimate)", "operation", "times", "hours", right=(1, 2))
    for operation in plan.cost.operations:
        shown.add_row(operation.name, f"{operation.count:,}", number(operation.minutes / 60.0, 2))
    print_table(console, shown, 0, MOST_ROWS, "")


def _assumptions(console: Console, plan: Plan) -> None:
    display = plan.assembly.display
    entries = {
        "supplies": tuple(display.supplies),
        "controllers": tuple(display.controllers),
        "kinds": tuple(display.kinds),
        "levels": tuple(display.kinds),
        "strings": tuple(display.strings),
    }
    shown = table("Assumptions, because the file does not say", "key", "value", "meaning")
    for one in grouped(display):
        names = _names(one.names, entries.get(one.where.partition(".")[0], ())) if len(one.names) > 1 else ""
        shown.add_row(one.where, one.value, one.reason + names)
    print_table(console, shown, 0, 0, "")


def _names(names: Sequence[str], entries: Sequence[str]) -> str:
    """Return in brackets which of a section's entries are meant, in the fewest words that name each of them."""
    meant = set(names)
    others = [name for name in entries if name not in meant]
    if entries and not others:
        return f" (all {len(entries):,})"
    if len(entries) - len(others) == len(names) > _FEW and len(others) <= _FEW:
        return f" (all but {', '.join(others)})"
    listed = ", ".join(names[:MOST_NAMES])
    more = f" and {len(names) - MOST_NAMES:,} more; --json or --csv has all" if len(names) > MOST_NAMES else ""
    return f" ({listed}{more})"


def show_parts(console: Console, lines: Sequence[PartLine]) -> None:
    """Print the parts of the catalogue, one a line."""
    shown = table("Parts catalogue (generic, prices typical)", "part", "sort", "price", "what it is", right=(2,))
    for line in lines:
        shown.add_row(line.name, line.role, "-" if line.price is None else f"{line.price:.2f}", line.about)
    console.print(shown)


def show_part(console: Console, line: PartLine, numbers: Sequence[Number]) -> None:
    """Print every number of one part with its basis."""
    console.print(Text(line.name, style="bold"), f"({line.role})")
    console.print(line.about)
    shown = table("", "key", "value", "basis")
    for one in numbers:
        shown.add_row(one.key, one.value, one.basis)
    console.print(shown)
