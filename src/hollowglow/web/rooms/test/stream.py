"""The display in light, live: where its cells are, and a stream of their colours in which only the newest counts."""

from __future__ import annotations

import asyncio
import json
import struct
import time
from contextlib import suppress
from typing import TYPE_CHECKING, Any

import numpy as np
from starlette.websockets import WebSocket, WebSocketDisconnect

from hollowglow.show.walk import RAMP_S

if TYPE_CHECKING:
    from collections.abc import Callable

    from hollowglow.plan import Plan
    from hollowglow.show.demand.addresses import Bytes
    from hollowglow.view.pictures.night import Night
    from hollowglow.web.desk.desk import Desk
    from hollowglow.web.rooms.test.lighting import Lighting
    from hollowglow.web.rooms.test.listening import Listening

RATE_HZ = 30.0
STATE_S = 0.25
# How soon new colours are noticed.
GLANCE_S = 0.004
# A page asks for each message by a letter; so many may be under way, and a page that falls behind gets fewer of them.
FRAMES_UNDER_WAY, STATES_UNDER_WAY = 2, 1
FRAME, STATE = "f", "s"
_MILLI = 3


class GlowStream:
    """What is seen of the display now: heard from the network where somebody listens, else what is sent."""

    def __init__(self, desk: Desk, lighting: Lighting, listening: Listening) -> None:
        self.desk, self.lighting, self.listening = desk, lighting, listening
        self._of: Plan | None = None
        self._night: Night | None = None
        self._shown: object = None
        self._bytes = b""

    async def night(self) -> Night | None:
        """Return where the cells of the newest plan are, None where there is no plan."""
        plan = self.desk.plan
        if plan is not None and plan is not self._of:
            from hollowglow.view.pictures.night import night_of

            night = await asyncio.to_thread(night_of, plan)
            self._of, self._night, self._shown = plan, night, None
        return self._night

    @property
    def stamp(self) -> int:
        """Return what tells one plan's cells from another's, 32 bits."""
        return int(self.desk.plan_of[:8] or "0", 16)

    async def places(self) -> dict[str, Any]:
        """Return where the cells are as plain data: x, y and width of one after the other, mm."""
        night = await self.night()
        if night is None:
            return {"stamp": 0, "cells": [], "names": [], "placed": True}
        cells = np.column_stack([night.spots_m, night.across_m])
        return {
            "stamp": self.stamp,
            "cells": np.rint(cells * 1000.0).astype(int).ravel().tolist(),
            "names": [[name, round(x * 1000.0), round(y * 1000.0)] for name, x, y in night.names],
            "placed": night.placed,
        }

    def newest(self) -> bytes:
        """Return the newest colours: the stamp (32 bits, little-endian), then red, green and blue of each cell.

        The very same object comes back while nothing changes.
        """
        night, session, heard = self._night, self.lighting.session, self.listening.heard
        count = 0 if night is None else len(night.spots_m)
        paint = self.lighting.paint
        source: object = heard.screen if heard is not None else session.lit if session is not None else None
        if source is self._shown and self._bytes[:4] == struct.pack("<I", self.stamp):
            return self._bytes
        screen: Bytes | None = None
        if heard is not None:
            screen = heard.screen
        elif session is not None and session.lit is not None and paint is not None:
            screen = paint.screen(session.lit)
        if screen is None or len(screen) != count:
            screen = np.zeros((count, 3), dtype=np.uint8)
        self._shown, self._bytes = source, struct.pack("<I", self.stamp) + screen.tobytes()
        return self._bytes

    def state(self) -> dict[str, Any]:
        """Return what else changes while one watches, as plain data."""
        session, heard, meter = self.lighting.session, self.listening.heard, self.lighting.meter
        made: dict[str, Any] = {"draws": [], "limited": "", "trial": None, "heard": None}
        if session is not None:
            walk = session.walk
            made["limited"] = session.limiter.last.words
            if walk.step.sort == "load" and walk.started and not walk.held:
                made["trial"] = round(min(1.0, (time.monotonic() - walk.since_s) / RAMP_S), _MILLI)
            made["draws"] = meter.rows if meter is not None else []
        if heard is not None:
            made["heard"] = {key: heard.data[key] for key in ("sources", "rate", "lost", "late", "lowest")}
            made["draws"] = heard.data["draws"]
        return made

    async def stream(self, socket: WebSocket) -> None:
        """Send colours and state to a page as fast as it asks, up to their rates, until it goes away."""
        await socket.accept()
        self.lighting.watchers += 1
        under_way = {FRAME: 0, STATE: 0}
        hearing = asyncio.create_task(_hear(socket, under_way))
        try:
            await self._send(socket, under_way, lambda: hearing.done())
        except (WebSocketDisconnect, RuntimeError):  # it went away while something was on its way to it
            pass
        finally:
            self.lighting.watchers -= 1
            hearing.cancel()
            with suppress(asyncio.CancelledError):
                await hearing

    async def _send(self, socket: WebSocket, under_way: dict[str, int], gone: Callable[[], bool]) -> None:
        loop = asyncio.get_running_loop()
        due, state_due = loop.time(), loop.time()
        sent: bytes | None = None
        told = ""
        while not gone():
            lively = self.lighting.sending or self.listening.on
            await asyncio.sleep(max(GLANCE_S if lively else STATE_S, due - loop.time()))
            await self.night()
            newest = self.newest()
            if newest is not sent and under_way[FRAME] < FRAMES_UNDER_WAY:
                # Deadlines stay on one raster, so that the rate holds; what is late by more is left out.
                due = max(due + 1.0 / RATE_HZ, loop.time() + 0.5 / RATE_HZ)
                under_way[FRAME] += 1
                sent = newest
                await socket.send_bytes(newest)
            if loop.time() >= state_due and under_way[STATE] < STATES_UNDER_WAY:
                state_due = loop.time() + STATE_S
                words = json.dumps(self.state())
                if words != told:
                    under_way[STATE] += 1
                    told = words
                    await socket.send_text(words)


async def _hear(socket: WebSocket, under_way: dict[str, int]) -> None:
    """Count what the page has taken, until it goes away."""
    with suppress(WebSocketDisconnect, KeyError):
        while True:
            sort = (await socket.receive_text())[:1]
            if under_way.get(sort, 0) > 0:
                under_way[sort] -= 1
