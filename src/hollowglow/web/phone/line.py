"""The line to the phones: where they are listened for, what the laptop's screen and terminal show, and its server."""

from __future__ import annotations

import asyncio
import contextlib
import io
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import segno
import uvicorn

from hollowglow.messages.refusal import Input, Refusal
from hollowglow.web.phone.gate import Gate
from hollowglow.web.phone.lan import is_local, listen_at, local_addresses

if TYPE_CHECKING:
    import socket
    from collections.abc import Callable, Iterator, Sequence


@dataclass(frozen=True)
class PhoneLine:
    """Where phones are listened for.

    Attributes:
        gate: who may come in.
        sockets: that listen.
        hosts: address and port of each.
    """

    gate: Gate
    sockets: tuple[socket.socket, ...]
    hosts: tuple[str, ...]

    def address(self, host: str) -> str:
        """Return the address that a person types into a phone."""
        return f"http://{host}/"

    def with_code(self, host: str) -> str:
        """Return the address that the picture holds; the code stands behind the #, which no browser sends."""
        return f"http://{host}/#{self.gate.code}"

    def picture(self, host: str) -> str:
        """Return the QR code of the address with the code, as SVG text, dark on light with its quiet margin."""
        drawn = io.BytesIO()
        segno.make(self.with_code(host), error="m", micro=False).save(
            drawn, kind="svg", scale=6, border=4, dark="#000", light="#fff", xmldecl=False, title="Scan with the phone"
        )
        return drawn.getvalue().decode("utf-8")

    def in_letters(self, host: str) -> str:
        """Return the QR code of the address in half blocks, light on dark as terminals mostly are.

        The code is left out: what a terminal shows stays there when the code has lapsed.
        """
        drawn = io.StringIO()
        segno.make(self.address(host), error="m", micro=False).terminal(drawn, compact=True)
        return drawn.getvalue().rstrip("\n")


def open_line(at: Sequence[str] = (), port: int = 0) -> PhoneLine:
    """Return a line that listens.

    Args:
        at: addresses of this machine; all that it has on local networks where none are given.
        port: the same on each; 0 takes a free one.

    Raises:
        Refusal: when there is no such address or it cannot be used.
    """
    for address in at:
        if not (is_local(address) or address.startswith("127.")):
            raise Refusal(
                f"{address} is no address of a local network, and phones are served only there. "
                "Such addresses begin with 10., 172.16. to 172.31., 192.168. or 169.254."
            )
    chosen = tuple(dict.fromkeys(at)) or local_addresses()
    if not chosen:
        raise Refusal(
            "This machine has no address on a local network, so no phone can reach it. Join the network that the phone is "
            "in, or name the address ",
            Input("phone_at", way="with"),
            ".",
        )
    sockets = listen_at(chosen, port)
    return PhoneLine(Gate(), sockets, tuple(f"{address}:{sockets[0].getsockname()[1]}" for address in chosen))


class _Beside(uvicorn.Server):
    """A second server in one process; the first one minds Ctrl-C."""

    @contextlib.contextmanager
    def capture_signals(self) -> Iterator[None]:
        yield


async def serve_line(
    line: PhoneLine, app: Any, say: Callable[[str], None], letters: bool, news: Callable[[], Any]
) -> None:
    """Serve phones until cancelled, and show each new code.

    Args:
        line: that listens.
        app: the ASGI application for phones.
        say: called with what is to be printed.
        letters: whether to print the QR code too.
        news: awaited when the laptop's page has something new to show.
    """
    config = uvicorn.Config(
        app, log_level="critical", access_log=False, lifespan="off", timeout_graceful_shutdown=1,
        limit_concurrency=64, ws_max_size=2**16, server_header=False,
    )  # fmt: skip
    server = _Beside(config)
    serving = asyncio.create_task(server.serve(sockets=list(line.sockets)))
    for host in line.hosts:
        say(f"Phones in the local network can test and read at {line.address(host)}")
    if letters:
        say(line.in_letters(line.hosts[0]))
    shown, before = "", (0, False)
    try:
        while not serving.done():
            now = line.gate.phones, line.gate.locked_s > 0
            if line.gate.code != shown or now != before:
                if line.gate.code != shown:
                    say(f"Code for phones: {line.gate.code[:3]} {line.gate.code[3:]} (holds ten minutes)")
                if now[1] and not before[1]:
                    say("Five wrong codes were typed; no code is tried for a minute.")
                shown, before = line.gate.code, now
                await news()
            await asyncio.sleep(0.5)
    finally:
        server.should_exit = True
        with contextlib.suppress(Exception):
            await asyncio.wait_for(asyncio.shield(serving), 3)
