"""Lighting one thing by its id over the network, no more than the plan's limits allow, and leaving it dark afterwards."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from hollowglow.assembly import Assembly
from hollowglow.assembly.ids import prop_ids, read_prop
from hollowglow.jobs.plan import plan_file
from hollowglow.messages.refusal import Job, Refusal, Words
from hollowglow.net import Sender
from hollowglow.net.packets.packet import DEFAULT_PRIORITY
from hollowglow.net.sending.left_on import MOST_PLACES, LeftOn, Record, black_out, cid_of, now_text
from hollowglow.plan import Progress, silent
from hollowglow.quantity.shown import nearest, show, visible
from hollowglow.show.demand import AddressMap
from hollowglow.show.limiter import Limiter

EVERYTHING = "all"
COLOURS = {"white": (255, 255, 255), "red": (255, 0, 0), "green": (0, 255, 0), "blue": (0, 0, 255)}
Say = Callable[[Words], None]
_HEX = re.compile(r"#?([0-9a-fA-F]{6})")
_INTERRUPTIONS = 3

Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class LightRequest:
    """What a person asked to be lit.

    Attributes:
        what: a prop, a string, or all.
        to: multicast, a host or host:port.
        colour: a name or #rrggbb.
        percent: of the full slots, above 0 to 100.
        yes_public: whether an address outside of one's own network is meant.
        interface: own address to send from; the system chooses where None.
        priority: 0 to 200; receivers take the highest.
        sync: universe of synchronization packets; 0 for none.
    """

    what: str
    to: str
    colour: str = "white"
    percent: float = 30.0
    yes_public: bool = False
    interface: str | None = None
    priority: int = DEFAULT_PRIORITY
    sync: int = 0


@dataclass(frozen=True, slots=True)
class LitThing:
    """What is lit now: its id, how many props, the slots' colour, where it is sent, in which universes."""

    what: str
    props: int
    colour: tuple[int, int, int]
    to: str
    universes: tuple[int, ...]
    sender: Sender


def read_colour(text: str, percent: float) -> tuple[int, int, int]:
    """Return slots of a colour at a share of full, rounded; whatever is above nothing stays above nothing.

    >>> read_colour("red", 30.0), read_colour("#ff8000", 100.0)
    ((76, 0, 0), (255, 128, 0))
    """
    if not 0.0 < percent <= 100.0:
        raise Refusal(f"found {percent:g}, expected more than 0, at most 100.", field="percent")
    match = _HEX.fullmatch(text.strip())
    if match is not None:
        full = tuple(bytes.fromhex(match[1]))
    elif text.strip().lower() in COLOURS:
        full = COLOURS[text.strip().lower()]
    else:
        raise Refusal(
            f"found {show(text)}, expected {', '.join(COLOURS)} or #rrggbb. {nearest(text, COLOURS)}".rstrip(),
            field="colour",
        )
    red, green, blue = (max(round(v * percent / 100.0), 1) if v else 0 for v in full)
    return red, green, blue


def chosen(assembly: Assembly, what: str) -> Flags:
    """Return which props are meant by an id, shape (props,).

    Raises:
        Refusal: there is no such thing in the display.
    """
    strings, props = assembly.strings.names, assembly.props
    if what == EVERYTHING:
        return np.ones(len(props.string), dtype=np.bool_)
    if what in strings:
        return np.asarray(props.string == strings.index(what))
    named = read_prop(what)
    if named is not None and named[0] in strings:
        string, number = named
        found = (props.string == strings.index(string)) & (props.number == number)
        if found.any():
            return np.asarray(found)
        count = int(np.count_nonzero(props.string == strings.index(string)))
        raise Refusal(f"There is no prop {show(what)}: string {string} has {count}, counted from 1.")
    if not strings:
        raise Refusal(f"There is no prop or string {show(what)} in this display: it has no strings. Add one first.")
    hint = nearest(what, [EVERYTHING, *strings, *prop_ids(assembly)])
    hint = hint or f"Its strings are {', '.join(strings)}; {EVERYTHING} lights everything."
    raise Refusal(f"There is no prop or string {show(what)} in this display. {hint}")


def cells_of(assembly: Assembly, addresses: AddressMap, props: Flags) -> Flags:
    """Return which cells belong to some props, shape (cells,)."""
    cells = np.zeros(addresses.cells, dtype=np.bool_)
    cells[addresses.node_cell[props[assembly.nodes.prop]]] = True
    return cells


@contextmanager
def lit(path: Path, asked: LightRequest, say: Say, progress: Progress = silent) -> Iterator[LitThing]:
    """Light one thing for as long as the block lasts; a blackout and the end of the stream are sent however it is left.

    Args:
        path: of the display file.
        asked: what, where and how.
        say: told what the person has to know meanwhile, also from the sending thread.
        progress: called with the name of each step of the plan.

    Raises:
        DisplayError: the file cannot be read.
        Refusal: there is no such thing, or nothing can be sent there.
    """
    colour = read_colour(asked.colour, asked.percent)
    plan = plan_file(path, progress)
    addresses = AddressMap.of(plan.assembly)
    if not addresses.universes:
        raise Refusal("This display has no lights to send to. Give it a string with props.")
    props = chosen(plan.assembly, asked.what)
    colours = np.zeros((addresses.cells, 3), dtype=np.uint8)
    colours[cells_of(plan.assembly, addresses, props)] = colour
    limiter = Limiter.of(plan.assembly)
    source = f"{plan.assembly.display.display} - Hollowglow"
    with Record(path) as record:
        cid = cid_of(path)
        with Sender(
            addresses.universes,
            asked.to,
            cid=cid,
            source=source,
            priority=asked.priority,
            sync_address=asked.sync,
            limit=limiter,
            yes_public=asked.yes_public,
            interface=asked.interface,
            say=say,
        ) as sender:
            if plan.stopped:
                say(
                    (
                        "The plan forbids building this display as it stands; ",
                        Job("check", visible(str(path))),
                        " says why.",
                    )
                )
            end_what_was_left(record, cid, say, asked.yes_public)
            record.begin(
                LeftOn(asked.what, asked.to, asked.interface, addresses.universes, source, sender.priority, now_text())
            )
            try:
                sender.show(addresses.frame(colours))
                if limiter.last.words:
                    say(limiter.last.words)
                yield LitThing(asked.what, int(props.sum()), colour, asked.to, addresses.universes, sender)
            finally:
                end_or_tell(sender, record, say)


def end_or_tell(sender: Sender, record: Record, say: Say) -> bool:
    """Stop sending; where light left and a blackout could not, keep the record of it, say so and return False."""
    interrupted: BaseException | None = None
    for _ in range(_INTERRUPTIONS):  # a second Ctrl-C waits for the last packets and the record too
        try:
            sender.stop()
            if sender.left_dark or not sender.any_left:
                record.end()
            break
        except (KeyboardInterrupt, SystemExit) as error:
            interrupted = error
    if interrupted is not None:
        raise interrupted
    if sender.any_left and not sender.left_dark:
        say("The network was gone at the end, so these lights may stay on; the next start sends a blackout.")
    return sender.left_dark


def end_what_was_left(record: Record, cid: bytes, say: Say, yes_public: bool = False) -> None:
    """Say what a run that was cut off left on, and send a blackout there."""
    for _ in range(MOST_PLACES):
        left = record.left_on()
        if left is None:
            return
        say(left.words())
        try:
            black_out(left, cid, yes_public=yes_public)
        except Refusal as error:
            say(f"A blackout could not be sent there. {error}")
            return
        say("A blackout was sent there.")
        record.end()
