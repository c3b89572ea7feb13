"""Write what is heard of a display's universes into a capture file."""

from __future__ import annotations

import ipaddress
import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

import numpy as np

from hollowglow.analysis.data import analyse
from hollowglow.assembly import expand
from hollowglow.file import load
from hollowglow.file.store.writing import shown
from hollowglow.messages.refusal import Input, Refusal, Token, Words
from hollowglow.net.hearing.capture import Writer
from hollowglow.net.hearing.receiver import HERE, Receiver
from hollowglow.net.hearing.sources import HeardSources
from hollowglow.net.sending.ending import ending_signals
from hollowglow.quantity.shown import show

MULTICAST = "multicast"
MOST_SECONDS = 7 * 24 * 3600
_STEP_S = 0.1
_TELL_EVERY_S = 1.0


@dataclass(frozen=True, slots=True)
class Captured:
    """What a capture holds: how long it was listened, datagrams, octets of the file, and what is notable about them."""

    seconds: float
    datagrams: int
    octets: int
    senders: tuple[str, ...]
    strangers: int
    notes: tuple[Words, ...]


@dataclass(frozen=True, slots=True)
class Ears:
    """Where to listen: by multicast or not, at which own address or interface, to which senders alone (none: to all)."""

    multicast: bool
    bind: str | None
    interface: str | None
    senders: frozenset[str]


def ears(origins: Sequence[str], interface: str | None) -> Ears:
    """Return where to listen for what senders and an interface name; this computer alone where nothing is named.

    Raises:
        Refusal: for something that is neither "multicast" nor an address.
    """
    senders = set()
    for origin in origins:
        if origin != MULTICAST:
            try:
                senders.add(str(ipaddress.ip_address(origin)))
            except ValueError:
                raise Refusal(
                    f"found {show(origin)}, expected multicast or the address of a sender, such as 192.168.1.20.",
                    field="origin",
                ) from None
    if MULTICAST in origins:
        return Ears(True, None, interface, frozenset())
    if interface is not None:
        try:
            return Ears(False, str(ipaddress.ip_address(interface)), None, frozenset(senders))
        except ValueError:
            raise Refusal(
                f"found {show(interface)}, expected an address of this computer, because multicast is not "
                "listened to. Give the address, or ",
                Input("origin", MULTICAST, "add"),
                ".",
                field="interface",
            ) from None
    if all(ipaddress.ip_address(s).is_loopback for s in senders):
        return Ears(False, "::1" if senders == {"::1"} else HERE, None, frozenset(senders))
    six = any(":" in s for s in senders)
    return Ears(False, "::" if six else "0.0.0.0", None, frozenset(senders))


def universes_of(path: Path) -> tuple[int, ...]:
    """Return the universes that the display in a file uses, ascending; raises DisplayError."""
    return tuple(int(u) for u in np.unique(analyse(expand(load(path))).universe))


def capture_file(
    path: Path,
    to: Path,
    seconds: float,
    origins: Sequence[str] = (),
    interface: str | None = None,
    *,
    progress: Callable[[float, int], None] = lambda seconds, datagrams: None,
    say: Callable[[str], None] = lambda words: None,
    open_receiver: Callable[..., Any] = Receiver,
) -> Captured:
    """Listen for a time and write what is heard into a new pcapng file; a request to end does so early and keeps it.

    Args:
        path: of the display file, whose universes matter.
        to: of the capture file; must not be there yet.
        seconds: how long to listen.
        origins: "multicast" or addresses of senders.
        interface: network interface to listen on.
        progress: called with the seconds gone by and the datagrams written.
        say: is told what happens meanwhile.
        open_receiver: makes the receiver.

    Raises:
        DisplayError: when the display cannot be read.
        Refusal: when nothing can be listened to or written, or nothing was heard; then no file is left.
    """
    if not 0 < seconds <= MOST_SECONDS:
        raise Refusal(f"found {seconds:g}, expected more than 0 and at most {MOST_SECONDS:,}.", field="seconds")
    listen = ears(origins, interface)
    universes = universes_of(path)
    if not universes:
        raise Refusal("This display has no strings yet, so there is no universe to listen to.")
    with _new_file(to) as stream:
        try:
            receiver = open_receiver(
                universes, multicast=listen.multicast, interface=listen.interface, bind=listen.bind, say=say
            )
            with receiver:
                captured = _listen(receiver, stream, universes, seconds, listen, progress)
        except Refusal:  # nothing can be listened to
            to.unlink(missing_ok=True)
            raise
    if not captured.datagrams:
        to.unlink()
        raise Refusal(*_silence(listen, captured))
    return captured


def _new_file(to: Path) -> IO[bytes]:
    try:
        return to.open("xb", buffering=0)  # what was heard is in the file at once
    except FileExistsError:
        raise Refusal(f"{shown(to)} is there already and is not overwritten. Name another file.") from None
    except OSError as error:
        raise Refusal(f"{shown(to)} cannot be written ({error.strerror or error}). Choose another place.") from None


def _listen(
    receiver: Receiver,
    stream: IO[bytes],
    universes: Sequence[int],
    seconds: float,
    listen: Ears,
    progress: Callable[[float, int], None],
) -> Captured:
    sources = HeardSources(universes)
    writer = Writer(stream, listen.interface or "")
    names: dict[str, None] = {}
    strangers = 0
    start_s = told_s = time.monotonic()
    notes: list[Words] = []
    with ending_signals(), suppress(KeyboardInterrupt, SystemExit):
        while (left_s := start_s + seconds - time.monotonic()) > 0:
            heard = receiver.receive(min(left_s, _STEP_S))
            now_s = time.monotonic()
            if heard is not None:
                if listen.senders and heard.sender.partition("%")[0] not in listen.senders:
                    strangers += 1
                    continue
                try:
                    writer.write(receiver.time_of_day_s(heard.at_s), heard.source, heard.to, heard.datagram)
                except OSError as error:
                    notes.append(f"The capture ends early: it cannot be written further ({error.strerror or error}).")
                    break
                for event in sources.hear(heard.datagram, heard.sender, heard.at_s):
                    if event.what == "found" and len(names) < 100:
                        names[f"{show(event.source)} ({event.address})"] = None
            if now_s - told_s >= _TELL_EVERY_S:
                told_s = now_s
                progress(now_s - start_s, writer.written)
    notes += _notes(sources, strangers)
    return Captured(time.monotonic() - start_s, writer.written, stream.tell(), tuple(names), strangers, tuple(notes))


def _notes(sources: HeardSources, strangers: int) -> list[Words]:
    silent = [u for u in sources.universes if not sources.counts(u).frames]
    lost = sum(sources.counts(u).lost for u in sources.universes)
    notes: list[Words] = []
    if silent and len(silent) < len(sources.universes):
        listed = ", ".join(map(str, silent[:10])) + (", ..." if len(silent) > 10 else "")
        notes.append(f"Universes of the display of which nothing was heard: {listed}.")
    elif silent:
        notes.append("Of no universe of the display anything was heard.")
    for count, what in (
        (lost, "Packets of the display's universes that are missing (their senders numbered them)"),
        (
            sources.totals.elsewhere,
            f"Packets of universes that the display does not use, kept all the same ({sources.totals.others_words()})",
        ),
        (sources.totals.malformed, "Datagrams that are no E1.31 packets, kept all the same"),
    ):
        if count:
            notes.append(f"{what}: {count:,}.")
    return [*notes, *_left_out(strangers)]


def _left_out(strangers: int) -> list[tuple[str | Token, ...]]:
    words = ("Datagrams left out, of senders that ", Input("origin"), f" does not name: {strangers:,}.")
    return [words] if strangers else []


def why_silent(listen: Ears) -> tuple[str | Token, ...]:
    """Return what to see to where nothing was heard."""
    if listen.multicast:
        first = "See that the sender is on, on the same network, and name the interface towards it "
        return first, Input("interface", way="with"), "."
    if listen.bind == HERE and not listen.senders:
        first = "Only this computer was listened to; "
        return first, Input("origin", MULTICAST, "add"), ", or ", Input("origin"), " and the address of the sender."
    return ("See that the sender is on and sends to this computer's address.",)


def _silence(listen: Ears, captured: Captured) -> tuple[str | Token, ...]:
    more = [part for words in _left_out(captured.strangers) for part in (" ", *words)]
    return f"Nothing was heard in {captured.seconds:.1f} s, so no file was written. ", *why_silent(listen), *more
