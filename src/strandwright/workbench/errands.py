"""Long work that a person asked for: one errand a room, with how far it is, a stop button, and what it brought."""

from __future__ import annotations

import asyncio
from dataclasses import dataclass, replace
from typing import Any, Literal

from strandwright.errors import StrandwrightError
from strandwright.workbench.desk import Desk
from strandwright.workbench.worker import StoppedError, Worker

State = Literal["waiting", "running", "done", "failed", "stopped"]


@dataclass(frozen=True)
class Errand:
    """One piece of long work.

    Attributes:
        room: that shows it.
        task: of `workbench.tasks`.
        args: that the person chose, after the path of the file.
        title: what it is, in words.
        of: fingerprint of the text that it was asked for.
        state: how it stands.
        done, all, words: how far it is.
        result: what it brought.
        trouble: why it did not.
    """

    room: str
    task: str
    args: tuple[Any, ...]
    title: str
    of: str
    state: State = "waiting"
    done: int = 0
    all: int = 1
    words: str = ""
    result: Any = None
    trouble: str = ""


class Errands:
    """The newest errand of each room; they are done one after the other in a process of their own."""

    def __init__(self, desk: Desk, worker: Worker) -> None:
        self.desk = desk
        self.worker = worker
        self._newest: dict[str, Errand] = {}
        self._tasks: dict[str, asyncio.Task[None]] = {}

    def of_room(self, room: str) -> Errand | None:
        """Return the newest errand of a room, None where nothing was asked for."""
        return self._newest.get(room)

    async def start(self, room: str, task: str, args: tuple[Any, ...], title: str) -> None:
        """Begin an errand in place of the room's last one, which is stopped if it still runs."""
        await self.stop(room)
        errand = Errand(room, task, args, title, self.desk.digest)
        self._newest[room] = errand
        self._tasks[room] = asyncio.create_task(self._run(errand))
        await self.desk.tell()

    async def stop(self, room: str) -> None:
        """Stop a room's errand where one is going on."""
        errand, task = self._newest.get(room), self._tasks.get(room)
        if errand is None or task is None or task.done():
            return
        if errand.state == "running":
            self.worker.stop()
        else:
            task.cancel()
            self._newest[room] = replace(errand, state="stopped")
        await asyncio.wait([task], timeout=3)
        await self.desk.tell()

    async def _run(self, errand: Errand) -> None:
        room = errand.room

        def step(done: int, all_: int, words: str) -> None:
            self._newest[room] = replace(self._newest[room], state="running", done=done, all=all_, words=words)
            self.desk.tick()

        self._newest[room] = replace(errand, state="running")
        try:
            result = await self.worker.run(errand.task, str(self.desk.path), *errand.args, step=step)
            self._newest[room] = replace(self._newest[room], state="done", result=result)
        except StoppedError:
            self._newest[room] = replace(self._newest[room], state="stopped")
        except StrandwrightError as error:
            self._newest[room] = replace(self._newest[room], state="failed", trouble=str(error))
        await self.desk.tell()
