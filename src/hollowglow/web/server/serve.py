"""Starting the workbench: a free port on loopback, the browser, and a clean end."""

from __future__ import annotations

import asyncio
import contextlib
import logging
import signal
import socket
import sys
import webbrowser
import zlib
from importlib import import_module
from typing import TYPE_CHECKING

import uvicorn

from hollowglow.messages.refusal import Input, Refusal
from hollowglow.web.desk.album import Album
from hollowglow.web.desk.desk import Desk
from hollowglow.web.phone import make_phone_app
from hollowglow.web.phone import test as phone_test
from hollowglow.web.phone.line import PhoneLine, serve_line
from hollowglow.web.server.app import make_app
from hollowglow.web.work.worker import Worker

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from starlette.applications import Starlette

LOOPBACK = "127.0.0.1"


def usual_port(path: Path) -> int:
    """Return the port at which a file is tried first, the same every time, so that a tab left open finds it again.

    It is one of those that are nobody's (49152 to 65535, RFC 6335).
    """
    return 49152 + zlib.crc32(str(path.resolve()).encode("utf-8", "surrogatepass")) % 16384


def listen(port: int, usual: int = 0) -> socket.socket:
    """Return a socket that listens on loopback.

    Args:
        port: to listen on; 0 takes a free one.
        usual: the one to try first where any free one will do.

    Raises:
        Refusal: when the port is taken or may not be used.
    """
    if port == 0 and usual:
        with contextlib.suppress(Refusal):
            return listen(usual)
    made = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    try:
        made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        made.bind((LOOPBACK, port))
        made.listen(64)
    except (OSError, OverflowError) as error:
        made.close()
        why = getattr(error, "strerror", None) or str(error)
        raise Refusal(
            f"Port {port} cannot be used ({why}). Leave ", Input("port"), " out to take a free one."
        ) from None
    return made


def serve(
    path: Path, port: int, browser: bool, say: Callable[[str], None], worker: Worker, line: PhoneLine | None
) -> None:
    """Serve one display file as a local web page until Ctrl-C.

    Args:
        path: of the display file.
        port: on loopback; 0 takes a free one, the file's usual one if it is.
        browser: whether to open the person's browser.
        say: called with what is to be printed.
        worker: the process that plans.
        line: to phones in the local network; without it nothing outside this machine can connect.

    Raises:
        Refusal: when the port cannot be used.
    """
    # What else ends a program leaves by the same way as Ctrl-C, so that nothing stays behind.
    signal.signal(signal.SIGTERM, _leave)
    # It writes to the terminal what a page is told anyway.
    logging.getLogger("python_multipart").setLevel(logging.CRITICAL)
    asyncio.run(_serve(path, listen(port, usual_port(path)), browser, say, worker, line))


class _Server(uvicorn.Server):
    """A server that makes the lights dark before anything else ends: afterwards a signal may end the process at once."""

    def __init__(self, config: uvicorn.Config, app: Starlette) -> None:
        super().__init__(config)
        self._app = app

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        await _dark(self._app)
        await super().shutdown(sockets)


async def _dark(app: Starlette) -> None:
    """Send a blackout and the end of the stream where lights are being sent, and listen no more."""
    await app.state.lighting.stop()
    await app.state.listening.stop()


def _load_for_plans() -> None:
    for name in ("plan", "web.rooms.overview.view", "web.page.figures"):
        import_module(f"hollowglow.{name}")


def _leave(_number: int, _frame: object) -> None:
    raise SystemExit(0)


async def _serve(
    path: Path, bound: socket.socket, browser: bool, say: Callable[[str], None], worker: Worker, line: PhoneLine | None
) -> None:
    port = bound.getsockname()[1]
    jobs = Worker()
    desk = Desk(path, worker)
    hosts = [f"{name}:{port}" for name in (LOOPBACK, "localhost")]
    album = Album()
    app = make_app(desk, jobs, hosts, album, line)
    config = uvicorn.Config(
        app,
        log_level="critical",
        access_log=False,
        lifespan="off",
        timeout_graceful_shutdown=2,
        ws_max_size=1 << 16,
        ws_per_message_deflate=False,
    )
    server = _Server(config, app)
    address = f"http://{LOOPBACK}:{port}/"
    await desk.read()
    watching = [asyncio.create_task(desk.watch())]
    say(f"{desk.name} is on the workbench at {address}")
    if line is None:
        say("Only this machine can reach it. Ctrl-C ends it.")
    else:
        say("Only this machine can reach that; phones have an address of their own. Ctrl-C ends it.")
        phones = make_phone_app(
            desk,
            app.state.pictures,
            line.gate,
            line.hosts,
            phone_test.taker(app),
            phone_test.routes(),
            phone_test.LINKS,
        )
        phone_test.join(phones, app)
        watching.append(asyncio.create_task(serve_line(line, phones, say, sys.stdout.isatty(), desk.tell)))
    # While the first plan is computed in the other process, this one loads what it comes as and is shown with.
    asyncio.get_running_loop().run_in_executor(None, _load_for_plans)
    if browser:
        asyncio.get_running_loop().run_in_executor(None, webbrowser.open, address)
    if hasattr(signal, "SIGHUP"):
        # A closed terminal ends it like Ctrl-C does.
        asyncio.get_running_loop().add_signal_handler(signal.SIGHUP, server.handle_exit, signal.SIGHUP, None)
    try:
        await server.serve(sockets=[bound])
    finally:
        await _dark(app)
        for task in watching:
            task.cancel()
        await asyncio.gather(*watching, return_exceptions=True)
        worker.stop()
        jobs.stop()
        album.close()
