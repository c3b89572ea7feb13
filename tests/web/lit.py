"""A small display on a desk without a server, and a receiver on loopback that decodes what it hears."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable
from pathlib import Path

from hollowglow.file.store.files import read_text
from hollowglow.jobs.plan import plan_file
from hollowglow.net.packets.packet import Data
from hollowglow.plan import Plan
from hollowglow.web.desk.desk import Desk
from hollowglow.web.work.worker import Worker
from tests.net import listening

PATIENCE_S = listening.PATIENCE_S
# Two strings of bare lights, so that nothing glows in a shell and the plan is quick.
SMALL = """\
display: Small yard
supplies: {shed: {voltage: 12 V, rating: 60 W}}
controllers: {box: {outputs: 2, nodes_per_output: 100, rate: 40 Hz, first_universe: 3}}
parts:
  lamp:
    light:
      emitters: 1
      load: {class: constant-current, current: [20 mA, 20 mA, 20 mA], turn_on: [2 V, 3 V, 3 V], saturation: 0.5 V, idle: 1 mA}
  wire: {cable: {cores: 3, size: 18 AWG}}
kinds:
  dot: {fill: {light: lamp}}
strings:
  eave: {output: box/1, supply: shed, props: 3 * dot, lead: {cable: wire, length: 2 m}, span: {cable: wire, length: 500 mm}}
  arch: {output: box/2, supply: shed, props: 2 * dot, lead: {cable: wire, length: 3 m}, span: {cable: wire, length: 250 mm}}
"""


def plan_of(path: Path) -> Plan:
    """Return the plan of a file."""
    return plan_file(str(path))


def desk_with(path: Path) -> Desk:
    """Return a desk with the plan of a file, as if its worker had just brought it; call it inside a loop."""
    desk = Desk(path, Worker())
    desk.text = read_text(path)
    desk.plan, desk.plan_of = plan_file(str(path)), desk.digest
    return desk


async def changed(desk: Desk, before: str, after: str) -> None:
    """Change the file as an edit of the workbench would, with its new plan."""
    text = desk.text.replace(before, after)
    assert text != desk.text
    desk.path.write_text(text, encoding="utf-8")
    desk.text = text
    desk.plan, desk.plan_of = plan_file(str(desk.path)), desk.digest
    await desk.tell()


async def soon(holds: Callable[[], object]) -> None:
    """Wait until something holds; fail where it does not in time."""
    end = time.monotonic() + PATIENCE_S
    while not holds():
        assert time.monotonic() < end, "it did not come to hold in time"
        await asyncio.sleep(0.02)


class Ear(listening.Ear):
    """A receiver on loopback, asked for what the lights get."""

    @property
    def heard(self) -> list[Data]:
        """Return all data packets that came so far."""
        return [packet for packet in self.packets() if isinstance(packet, Data)]

    @property
    def terminated(self) -> int:
        """Return how many packets ended their stream."""
        return sum(packet.terminated for packet in self.heard)

    def slots(self) -> bytes:
        """Return the newest slots that came of a running stream, empty where none did."""
        running = [packet for packet in self.heard if not packet.terminated]
        return running[-1].slots if running else b""
