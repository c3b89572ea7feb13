"""A process beside the server that does the long work, tells how far it is, and can be stopped."""

from __future__ import annotations

import asyncio
import multiprocessing
import signal
import threading
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from importlib import import_module
from typing import TYPE_CHECKING, Any

from hollowglow.messages.errors import DisplayError, HollowglowError
from hollowglow.messages.refusal import Refusal
from hollowglow.web.words import of_error

if TYPE_CHECKING:
    from multiprocessing.connection import Connection

Step = Callable[[int, int, str], None]


class StoppedError(HollowglowError):
    """The person stopped the work."""


@dataclass(frozen=True)
class _Failed:
    """What went wrong in the process, in a form that crosses to the other side."""

    file: str
    problems: tuple[Any, ...]
    words: str

    def error(self) -> HollowglowError:
        return DisplayError(self.file, self.problems) if self.problems else Refusal(self.words)


# What can be asked of it knows every room, so it is loaded by name, in the process that does it.
_TASKS = "hollowglow.web.server.tasks"


def _serve(pipe: Connection) -> None:
    """Do what comes through the pipe, one thing after the other, until the other side goes away."""
    tasks = import_module(_TASKS)
    # Ctrl-C reaches every process of a terminal; the server decides when this one ends.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    kept = tasks.PlanMemory()
    while True:
        try:
            name, args = pipe.recv()
        except EOFError:
            return

        def step(done: int, all_: int, words: str) -> None:
            pipe.send(("step", (done, all_, words)))

        try:
            answer = ("done", tasks.TASKS[name](kept, step, *args))
        except DisplayError as error:
            answer = ("failed", _Failed(error.file, error.problems, ""))
        except HollowglowError as error:
            answer = ("failed", _Failed("", (), of_error(error)))
        except MemoryError:
            answer = ("failed", _Failed("", (), "There is not enough memory for this display on this machine."))
        except Exception as error:  # a fault of ours: it is told and the workbench goes on
            words = f"This did not work, and it is Hollowglow's own fault: {type(error).__name__}: {error}"
            answer = ("failed", _Failed("", (), words))
        with suppress(BrokenPipeError):
            pipe.send(answer)


class Worker:
    """One such process; it starts when it is first needed and again after it was stopped or died."""

    def __init__(self) -> None:
        self._turn = asyncio.Lock()
        self._process: multiprocessing.process.BaseProcess | None = None
        self._pipe: Connection | None = None
        self._waiting: asyncio.Future[Any] | None = None
        self._stopped = False

    @property
    def busy(self) -> bool:
        """Return whether work is going on."""
        return self._waiting is not None

    async def run(self, task: str, *args: Any, step: Step = lambda _done, _all, _words: None) -> Any:
        """Return what a task of `workbench.tasks` makes.

        Args:
            task: its name.
            args: what it is given; they cross to another process.
            step: called, in the server's own thread, with how far it is.

        Raises:
            StoppedError: when it was stopped.
            HollowglowError: what the task itself has to say, or that its process died.
        """
        async with self._turn:
            loop = asyncio.get_running_loop()
            pipe = self.start()
            self._waiting = loop.create_future()
            self._stopped = False
            waiting = self._waiting
            try:
                pipe.send((task, args))
                threading.Thread(target=_listen, args=(pipe, loop, waiting, step), daemon=True).start()
                return await waiting
            except (BrokenPipeError, EOFError, OSError):
                self._end()
                if self._stopped:
                    raise StoppedError("Stopped.") from None
                raise Refusal("The process that computes went away, perhaps for want of memory. Try again.") from None
            finally:
                self._waiting = None

    def stop(self) -> None:
        """Stop what is being done; the next task starts a new process."""
        self._stopped = True
        self._end()

    def start(self) -> Connection:
        """Start the process where there is none, and return the way to it."""
        if self._process is None or self._pipe is None or not self._process.is_alive():
            context = multiprocessing.get_context("spawn")
            ours, theirs = context.Pipe()
            self._process = context.Process(target=_serve, args=(theirs,), daemon=True, name="hollowglow-worker")
            self._process.start()
            theirs.close()
            self._pipe = ours
        return self._pipe

    def _end(self) -> None:
        process, self._process, self._pipe = self._process, None, None
        if process is not None:
            process.kill()
            process.join(2)


def _listen(pipe: Connection, loop: asyncio.AbstractEventLoop, waiting: asyncio.Future[Any], step: Step) -> None:
    """Hand what comes out of the pipe over to the server's thread, until one task is done."""

    def settle(result: Any, error: BaseException | None) -> None:
        if not waiting.done():
            if error is not None:
                waiting.set_exception(error)
            else:
                waiting.set_result(result)

    while True:
        try:
            sort, what = pipe.recv()
        except (EOFError, OSError):
            sort, what = "gone", None
        with suppress(RuntimeError):  # the server has ended
            if sort == "step":
                loop.call_soon_threadsafe(step, *what)
                continue
            if sort == "done":
                loop.call_soon_threadsafe(settle, what, None)
            elif sort == "failed":
                loop.call_soon_threadsafe(settle, None, what.error())
            else:
                loop.call_soon_threadsafe(settle, None, EOFError())
        return
