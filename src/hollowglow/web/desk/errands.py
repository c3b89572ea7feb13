"""Long work that a person asked for: with how far it is, a stop button, and what it brought."""

from __future__ import annotations

import asyncio
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Literal

from hollowglow.file.store.files import read_text
from hollowglow.messages.errors import DisplayError, HollowglowError
from hollowglow.web.desk.desk import fingerprint
from hollowglow.web.words import of_error
from hollowglow.web.work.worker import StoppedError, Worker

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hollowglow.web.desk.desk import Desk

State = Literal["waiting", "running", "done", "failed", "stopped"]


@dataclass(frozen=True)
class Errand:
    """One piece of long work.

    Attributes:
        task: of `workbench.tasks`; each has one errand at most.
        args: that the person chose, after the path of the file.
        title: what it is, in words.
        of: fingerprint of the text that it is about: of the desk's when it was asked for, of the file's once it runs.
        state: how it stands.
        done, all, words: how far it is.
        result: what it brought.
        trouble: why it did not.
    """

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
    """The newest errand of each task; they are done one after the other in a process of their own."""

    def __init__(self, desk: Desk, worker: Worker) -> None:
        self.desk = desk
        self.worker = worker
        self._newest: dict[str, Errand] = {}
        self._tasks: dict[str, asyncio.Task[None]] = {}
        self._pictures: dict[str, Mapping[str, str | bytes]] = {}
        # Whoever has the turn is running; stopping one that waits must not stop that one.
        self._turn = asyncio.Lock()

    @property
    def newest(self) -> Mapping[str, Errand]:
        """Return the newest errand of each task that was asked for."""
        return dict(self._newest)

    def picture(self, task: str, name: str) -> str | bytes | None:
        """Return a picture that the newest finished work of a task brought; a page shows it until the next one is there."""
        return self._pictures.get(task, {}).get(name)

    async def start(self, task: str, args: tuple[Any, ...], title: str) -> None:
        """Begin an errand in place of the task's last one, which is stopped if it still runs."""
        await self.stop(task)
        errand = Errand(task, args, title, self.desk.digest)
        self._newest[task] = errand
        self._tasks[task] = asyncio.create_task(self._run(errand))
        await self.desk.tell()

    async def settled(self, task: str, seconds: float) -> None:
        """Wait until a task's errand is over or time is up."""
        running = self._tasks.get(task)
        if running is not None:
            await asyncio.wait([running], timeout=seconds)

    async def stop(self, task: str) -> None:
        """Stop a task's errand where one is going on."""
        errand, running = self._newest.get(task), self._tasks.get(task)
        if errand is None or running is None or running.done():
            return
        if errand.state == "running":
            self.worker.stop()
        else:
            running.cancel()
            self._newest[task] = replace(errand, state="stopped")
        await asyncio.wait([running], timeout=3)
        await self.desk.tell()

    async def forget(self, *tasks: str) -> None:
        """Drop the newest errands of tasks, with what they brought."""
        for task in tasks:
            await self.stop(task)
            self._newest.pop(task, None)
            self._pictures.pop(task, None)
        await self.desk.tell()

    async def _run(self, errand: Errand) -> None:
        task = errand.task

        def step(done: int, all_: int, words: str) -> None:
            self._newest[task] = replace(self._newest[task], state="running", done=done, all=all_, words=words)
            self.desk.tick()

        async with self._turn:
            # Its turn may come long after it was asked for; the work reads what the file says now.
            errand = replace(errand, state="running", of=await self._fingerprint(errand.of))
            self._newest[task] = errand
            try:
                result = await self.worker.run(errand.task, str(self.desk.path), *errand.args, step=step)
                self._newest[task] = replace(self._newest[task], state="done", result=result)
                self._pictures[task] = result.pictures
                if result.anew:
                    await self.desk.anew()
            except StoppedError:
                self._newest[task] = replace(self._newest[task], state="stopped")
            except HollowglowError as error:
                self._newest[task] = replace(self._newest[task], state="failed", trouble=of_error(error))
            except Exception as error:
                trouble = f"This did not come to its end ({type(error).__name__}: {error}). Ask for it again."
                self._newest[task] = replace(self._newest[task], state="failed", trouble=trouble)
        await self.desk.tell()

    async def _fingerprint(self, known: str) -> str:
        """Return the fingerprint of what the file says, the known one where it cannot be read; the work itself tells why."""
        try:
            return fingerprint(await asyncio.to_thread(read_text, self.desk.path))
        except DisplayError:
            return known
