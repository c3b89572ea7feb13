"""One display on the workbench: its file, its last good plan, what is being computed, and what the person changed."""

from __future__ import annotations

import asyncio
import hashlib
import time
from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from hollowglow.file.history import redo, save, undo
from hollowglow.file.reading.load import load_text
from hollowglow.file.store.files import read_text
from hollowglow.file.text.commands import Edit, Put, Remove
from hollowglow.file.text.commands import Path as Keys
from hollowglow.file.text.edit import edited
from hollowglow.file.text.source import spell
from hollowglow.jobs.start.first import is_blank, write_first
from hollowglow.messages.errors import DisplayError, HollowglowError, Problem
from hollowglow.messages.refusal import Refusal
from hollowglow.quantity.shown import show, visible
from hollowglow.web.desk.values import at, plain
from hollowglow.web.words import of_error
from hollowglow.web.work.worker import StoppedError, Worker

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence
    from pathlib import Path

    from hollowglow.plan import Plan

WATCH_S = 0.5
TICK_S = 0.3


@dataclass(frozen=True)
class Solving:
    """How far the plan is that is being computed."""

    done: int
    all: int
    words: str


class ClashError(HollowglowError):
    """What the person saw is not what the file says any more; nothing was changed."""


class Desk:
    """The one thing of the workbench that changes; everything in it is touched by the server's own thread only."""

    def __init__(self, path: Path, worker: Worker) -> None:
        self.path = path
        self.name = visible(path.name)
        self.worker = worker
        self.text = ""
        self.problems: tuple[Problem, ...] = ()
        self.plan: Plan | None = None
        self.plan_of = ""
        self.solving: Solving | None = None
        self.trouble = ""
        self.elsewhere = ""
        self.blank = False
        self.version = 0
        self._news = asyncio.Condition()
        self._editing = asyncio.Lock()
        self._solver: asyncio.Task[None] | None = None
        self._ticked = 0.0
        self._telling: asyncio.Future[None] | None = None

    @property
    def digest(self) -> str:
        """Return the fingerprint of the text on the workbench."""
        return fingerprint(self.text)

    @property
    def current(self) -> bool:
        """Return whether the plan is that of the text on the workbench."""
        return self.plan is not None and self.plan_of == self.digest

    @property
    def read_only(self) -> bool:
        """Return whether nothing may be edited because the text has mistakes or the file is gone."""
        return bool(self.problems or self.elsewhere)

    async def read(self) -> None:
        """Take the file as it is on disk, for the first time or again."""
        async with self._editing:
            await self._read()

    async def _read(self) -> None:
        self.elsewhere = ""
        self.blank = await asyncio.to_thread(is_blank, self.path)
        if self.blank:
            self.text, self.problems = "", ()
            await self.tell()
            return
        try:
            self.text = await asyncio.to_thread(read_text, self.path)
        except DisplayError as error:
            self.problems = error.problems
            await self.tell()
            return
        await self._taken()

    async def watch(self) -> None:
        """Notice, again and again, when the file is changed or taken away by something else."""
        while True:
            await asyncio.sleep(WATCH_S)
            if self._editing.locked() or (self.blank and await asyncio.to_thread(is_blank, self.path)):
                continue
            known = self.text
            try:
                text = await asyncio.to_thread(read_text, self.path)
                news = "" if text == known else "was changed by something else"
            except DisplayError as error:
                news = f"cannot be read any more: found {error.problems[0].found}"
            # What was read while the workbench itself wrote or read the file may be older than what it knows.
            if self._editing.locked() or self.text is not known or news == self.elsewhere:
                continue
            self.elsewhere = news
            await self.tell()

    async def begin(self, data: Mapping[str, Any]) -> None:
        """Write a first display where there is none yet; raises as `jobs.first.write_first` does."""
        async with self._editing:
            await asyncio.to_thread(write_first, self.path, data)
            await self._read()

    async def put(self, edits: Mapping[Keys, Any], shown: Mapping[Keys, Any], why: str) -> None:
        """Change the file.

        Args:
            edits: the new value at each path of keys, None to take the key out.
            shown: the value that the person saw there when they changed it.
            why: what was done, in a few words.

        Raises:
            ClashError: when the file says something else there by now.
            DisplayError: when the file would have mistakes; nothing is written then.
            Refusal: when it cannot be written.
        """
        puts: list[Edit] = [Remove(path) if value is None else Put(path, value) for path, value in edits.items()]
        async with self._editing:
            await self._in_step()
            data = await asyncio.to_thread(plain, self.text)
            for path, value in shown.items():
                now = at(data, path)
                if now != value and now != edits.get(path):
                    raise ClashError(
                        f"{spell(path)} was {show(value)} when this page was made and is {show(now)} by now, so nothing "
                        "was changed. The page shows the new value; change it again if you still want to."
                    )
            after = await asyncio.to_thread(_checked, self.text, puts, self.name)
            if after != self.text:
                await asyncio.to_thread(save, self.path, self.text, after, puts, why, True)
                self.text = after
                await self._taken()

    async def change(self, make: Callable[[str, str], tuple[Sequence[Edit], str]]) -> None:
        """Change the file by edits that are made from its text as it is.

        Args:
            make: from the text and its name to the edits, and what they are in a few words.

        Raises:
            ClashError: when the file was changed by something else; nothing was changed then.
            DisplayError: when the file would have mistakes; nothing is written then.
            Refusal: when there is nothing to edit, or it cannot be written.
        """
        async with self._editing:
            await self._in_step()
            puts, why = await asyncio.to_thread(make, self.text, self.name)
            after = await asyncio.to_thread(_checked, self.text, list(puts), self.name)
            if after != self.text:
                await asyncio.to_thread(save, self.path, self.text, after, list(puts), why, True)
                self.text = after
                await self._taken()

    async def apply(self, puts: Sequence[Edit], of: str, why: str) -> None:
        """Change the file as an errand proposed.

        Args:
            puts: the changes.
            of: fingerprint of the text that they were made for.
            why: what is done, in a few words.

        Raises:
            ClashError: when the text is another one by now; nothing was changed.
            DisplayError: when the file would have mistakes; nothing is written then.
            Refusal: when it cannot be written.
        """
        async with self._editing:
            await self._in_step()
            if self.digest != of:
                raise ClashError(
                    "The file was changed since this was computed, so nothing was written. Compute it again."
                )
            after = await asyncio.to_thread(_checked, self.text, list(puts), self.name)
            if after != self.text:
                await asyncio.to_thread(save, self.path, self.text, after, puts, why)
                self.text = after
                await self._taken()

    async def undo(self) -> str:
        """Take back the last change and return what it was; raises Refusal where there is none."""
        return await self._step(undo)

    async def redo(self) -> str:
        """Do again what was taken back last and return what it is; raises Refusal where there is nothing."""
        return await self._step(redo)

    async def _step(self, way: Any) -> str:
        async with self._editing:
            await self._in_step()
            why = str(await asyncio.to_thread(way, self.path))
            self.text = await asyncio.to_thread(read_text, self.path)
            await self._taken()
            return why

    async def settled(self, seconds: float) -> None:
        """Wait until the plan is that of the text, or nothing is being computed, or time is up."""
        with suppress(TimeoutError):
            async with asyncio.timeout(seconds), self._news:
                await self._news.wait_for(lambda: self._solver is None)

    async def newer(self, version: int, seconds: float) -> int:
        """Return the version of what is shown, as soon as it is not the given one or when time is up."""
        with suppress(TimeoutError):
            async with asyncio.timeout(seconds), self._news:
                await self._news.wait_for(lambda: self.version != version)
        return self.version

    async def tell(self) -> None:
        """Let everyone who waits know that something has changed."""
        async with self._news:
            self.version += 1
            self._news.notify_all()

    def tick(self) -> None:
        """Let everyone who waits know how far long work is, but not too often."""
        now = time.monotonic()
        if now - self._ticked > TICK_S:
            self._ticked = now
            self._telling = asyncio.ensure_future(self.tell())

    def stop(self) -> None:
        """Stop computing; the plan before stays."""
        self.worker.stop()

    async def again(self) -> None:
        """Compute the plan of the text again, after it was stopped or went wrong."""
        await self._taken()

    async def anew(self) -> None:
        """Compute the plan of the same text again, because what lies beside the file has changed."""
        if self._solver is not None:
            await asyncio.wait([self._solver])
        self.plan_of = ""
        await self._taken()

    async def _in_step(self) -> None:
        """Refuse an edit of a file that is not as it is shown."""
        try:
            text = await asyncio.to_thread(read_text, self.path)
        except DisplayError as error:
            raise Refusal(f"{self.name} cannot be read, so nothing was changed. {error}") from None
        if text != self.text:
            raise ClashError(
                f"{self.name} was changed by something else, so nothing was changed here. Read it again first."
            )

    async def _taken(self) -> None:
        """Check the text and have it computed."""
        self.trouble = ""
        try:
            await asyncio.to_thread(load_text, self.text, self.name)
            self.problems = ()
        except DisplayError as error:
            self.problems = error.problems
        if not self.problems and self._solver is None:
            self._solver = asyncio.create_task(self._solve())
        await self.tell()

    async def _solve(self) -> None:
        """Compute until the plan is that of the text."""
        try:
            while not self.problems and not self.current:
                text, digest = self.text, self.digest
                self.solving = Solving(0, 1, "load")
                try:
                    # Not what the file says by the time that the work begins: something else may have changed it.
                    self.plan = await self.worker.run("plan", str(self.path), text, step=self._steps)
                except StoppedError:
                    self.trouble = "Stopped. What is shown is older than the file."
                    return
                except DisplayError as error:
                    self.problems = error.problems
                    return
                except HollowglowError as error:
                    self.trouble = of_error(error)
                    return
                self.plan_of = digest
        finally:
            self.solving, self._solver = None, None
            await self.tell()

    def _steps(self, done: int, all_: int, words: str) -> None:
        self.solving = Solving(done, all_, words)
        self.tick()


def fingerprint(text: str) -> str:
    """Return the first digits of the SHA-256 of a text."""
    return hashlib.sha256(text.encode("utf-8")).hexdigest()[:16]


def _checked(text: str, puts: list[Edit], name: str) -> str:
    after = edited(text, puts, name)
    load_text(after, name)
    return after
