"""What is heard of a show, in a thread of its own: its colours, and what they make supplies and fuses carry."""

from __future__ import annotations

import asyncio
import threading
import time
from collections import deque
from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from hollowglow.messages.errors import HollowglowError
from hollowglow.messages.refusal import Refusal
from hollowglow.net.packets.packet import PORT
from hollowglow.web.desk.bridge import Bridge
from hollowglow.web.rooms.test.lighting import NEWS_S
from hollowglow.web.words import of_error, told

if TYPE_CHECKING:
    from hollowglow.jobs.shows.watch import Watch
    from hollowglow.net.hearing.receiver import Receiver
    from hollowglow.plan import Plan
    from hollowglow.show.demand.addresses import Bytes
    from hollowglow.web.desk.desk import Desk

# Oftener than a page is sent looks, so that each of those is a new one.
LOOK_S = 1.0 / 40.0
_SAID = 6


@dataclass(frozen=True)
class HeardNow:
    """What is heard at a moment: sRGB bytes of each cell, and the rest as plain data."""

    screen: Bytes
    data: dict[str, Any]


class Listening:
    """Hears one show at a time; all but `_run` is called from the server's own thread."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.origin = ""
        self.port = PORT
        self.heard: HeardNow | None = None
        self.ended = ""
        self.said: deque[str] = deque(maxlen=_SAID)
        self._halt = threading.Event()
        self._thread: threading.Thread | None = None
        self._bridge: Bridge | None = None
        self._following: asyncio.Task[None] | None = None

    @property
    def on(self) -> bool:
        """Return whether it listens."""
        return self._thread is not None and self._thread.is_alive()

    async def start(self, origin: str, port: int = PORT) -> None:
        """Begin to listen.

        Args:
            origin: multicast, address of a sender, or empty for what is sent to this machine by itself.
            port: UDP port.

        Raises:
            Refusal: nothing can be heard there.
        """
        await self.stop()
        plan = self.desk.plan
        if plan is None:
            raise Refusal("The display has to be computed before a show can be watched.")
        self.origin, self.port = origin.strip(), port
        self.said.clear()
        await self._begin(plan)
        self._following = asyncio.create_task(self._follow(plan))
        await self.desk.tell()

    async def stop(self) -> None:
        """Listen no more."""
        if self._following is not None:
            self._following.cancel()
            self._following = None
        await self._end()
        self.ended = ""
        await self.desk.tell()

    async def _begin(self, plan: Plan) -> None:
        self._halt = threading.Event()
        self.ended = ""
        self._bridge = Bridge(self.desk)
        ready: asyncio.Future[None] = asyncio.get_running_loop().create_future()
        given = (plan, ready, self._bridge, self._halt)
        self._thread = threading.Thread(target=self._run, args=given, name="hollowglow hear", daemon=True)
        self._thread.start()
        await ready

    async def _end(self) -> None:
        self._halt.set()
        if self._thread is not None:
            await asyncio.to_thread(self._thread.join, 2.0)
        self.heard = None

    async def _follow(self, plan: Plan) -> None:
        """Begin anew with every new plan: cells, universes and limits may be others."""
        version = -1
        while self.on:
            version = await self.desk.newer(version, NEWS_S)
            newest = self.desk.plan
            if newest is None or newest is plan:
                continue
            plan = newest
            await self._end()
            with suppress(Refusal):
                await self._begin(plan)
                self.say("The display was changed; peaks count from now.")

    def say(self, words: str) -> None:
        """Keep what is new; called from any thread."""
        self.said.append(told(words))
        if self._bridge is not None:
            self._bridge.tell()

    def _run(self, plan: Plan, ready: asyncio.Future[None], bridge: Bridge, halt: threading.Event) -> None:
        # What listens is loaded by who first listens, not by everyone who opens a display.
        from hollowglow.jobs.shows.capture import ears
        from hollowglow.jobs.shows.watch import Watch
        from hollowglow.net.hearing.receiver import Receiver

        try:
            listen = ears([self.origin] if self.origin else [], None)
            watch = Watch(plan.assembly, self.say)
            with Receiver(
                watch.universes, multicast=listen.multicast, bind=listen.bind, port=self.port, say=self.say
            ) as receiver:
                bridge.settle(ready, None)
                self._hear(watch, receiver, listen.senders, halt)
        except HollowglowError as error:
            self.ended = of_error(error)
            bridge.settle(ready, Refusal(self.ended))
        except Exception as error:  # a fault of ours: it is told, and the workbench goes on
            self.ended = f"Listening stopped, and it is Hollowglow's own fault: {type(error).__name__}: {error}"
            bridge.settle(ready, Refusal(self.ended))
        finally:
            bridge.tell()

    def _hear(self, watch: Watch, receiver: Receiver, senders: frozenset[str], halt: threading.Event) -> None:
        from hollowglow.physics.srgb import srgb_bytes
        from hollowglow.view.pictures.night import limit_rows

        looked = time.monotonic()
        while not halt.is_set():
            heard = receiver.receive(max(0.0, looked + LOOK_S - time.monotonic()))
            if heard is not None and (not senders or heard.sender.partition("%")[0] in senders):
                watch.hear(heard.datagram, heard.sender, heard.at_s)
            now = time.monotonic()
            if now - looked < LOOK_S:
                continue
            looked = max(looked + LOOK_S, now - LOOK_S)  # on one raster, so that the rate holds
            seen = watch.look(now)
            names = watch.assembly.strings.names
            lowest = zip(names, seen.lowest_v.tolist(), strict=True)
            self.heard = HeardNow(
                srgb_bytes(seen.colours),
                {
                    "sources": list(seen.sources),
                    "rate": round(seen.rate_hz, 1),
                    "lost": seen.lost,
                    "late": seen.late,
                    "frames": watch.frames,
                    "draws": limit_rows(watch.allowed, seen.current_a, watch.peak_a),
                    "lowest": [{"string": n, "volts": round(v, 3) if np.isfinite(v) else None} for n, v in lowest],
                },
            )
