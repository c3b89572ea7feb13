"""The process beside the server: it can be stopped, it may die, and what goes wrong in it crosses over in words."""

from __future__ import annotations

import asyncio
import os
import re
import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from hollowglow.messages.errors import DisplayError, HollowglowError, Problem
from hollowglow.messages.refusal import Refusal
from hollowglow.plan import Plan
from hollowglow.web.server import tasks
from hollowglow.web.work import worker
from hollowglow.web.work.worker import StoppedError, Worker


class Pipe:
    """The end of a pipe that the process sees: what it is asked, one after the other, and what it sends."""

    def __init__(self, *asked: tuple[str, tuple[Any, ...]]) -> None:
        self.asked = list(asked)
        self.sent: list[tuple[str, Any]] = []

    def recv(self) -> Any:
        if not self.asked:
            raise EOFError
        return self.asked.pop(0)

    def send(self, what: tuple[str, Any]) -> None:
        self.sent.append(what)


@pytest.mark.parametrize(
    ("raised", "told"),
    [
        (Refusal("No such string."), Refusal("No such string.")),
        (
            DisplayError("a.yaml", [Problem("kinds", "nothing", "a table", line=3)]),
            DisplayError("a.yaml", [Problem("kinds", "nothing", "a table", line=3)]),
        ),
        (MemoryError(), Refusal("There is not enough memory for this display on this machine.")),
        (
            KeyError("x"),
            Refusal("This did not work, and it is Hollowglow's own fault: KeyError: 'x'"),
        ),
    ],
)
def test_what_goes_wrong_crosses_over_in_words_and_the_next_thing_is_done(
    raised: Exception, told: HollowglowError, monkeypatch: pytest.MonkeyPatch
) -> None:
    def wrong(_kept: Any, step: Any) -> Any:
        step(1, 2, "half")
        raise raised

    monkeypatch.setattr(tasks, "TASKS", {"wrong": wrong, "right": lambda _kept, _step, n: n + 1})
    kept = signal.getsignal(signal.SIGINT)
    pipe = Pipe(("wrong", ()), ("right", (4,)))
    try:
        worker._serve(pipe)  # type: ignore[arg-type]
    finally:
        signal.signal(signal.SIGINT, kept)
    assert [sort for sort, _ in pipe.sent] == ["step", "failed", "done"]
    assert pipe.sent[2] == ("done", 5)
    error = pipe.sent[1][1].error()
    assert (type(error), str(error)) == (type(told), str(told))


def test_a_real_process_works_is_stopped_dies_and_works_again(demo_file: Path) -> None:
    async def work() -> None:
        made = Worker()
        heard: list[str] = []
        plan = await made.run("plan", str(demo_file), step=lambda _done, _all, words: heard.append(words))
        assert isinstance(plan, Plan)
        assert heard[0] == "load"
        with pytest.raises(DisplayError, match="nowhere"):
            await made.run("plan", str(demo_file.with_name("nowhere.yaml")))
        process = made._process
        assert process is not None
        assert process.pid is not None

        # It stands, so that it cannot be done before it is killed.
        os.kill(process.pid, signal.SIGSTOP)
        running = asyncio.create_task(made.run("feed", str(demo_file)))
        while not made.busy:
            await asyncio.sleep(0.01)
        os.kill(process.pid, signal.SIGKILL)
        with pytest.raises(Refusal, match="perhaps for want of memory"):
            await running
        made.start()
        process = made._process
        assert process.pid is not None
        os.kill(process.pid, signal.SIGSTOP)
        running = asyncio.create_task(made.run("feed", str(demo_file)))
        while not made.busy:
            await asyncio.sleep(0.01)
        made.stop()
        with pytest.raises(StoppedError):
            await running
        assert not made.busy
        with pytest.raises(DisplayError, match="nowhere"):
            await made.run("plan", str(demo_file.with_name("nowhere.yaml")))
        made.stop()

    asyncio.run(work())


def test_the_process_that_plans_loads_nothing_that_no_plan_needs() -> None:
    program = "import sys, hollowglow.web.server.tasks; print([m for m in sys.modules if m.startswith('hollowglow.')])"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert "hollowglow.plan" in done.stdout
    assert not re.search(r"hollowglow\.(book|feed|fill|tolerance|photo|draw)\b", done.stdout)
