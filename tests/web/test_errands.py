"""Long work that was asked for: one a room, the newest counts, and it says how it ended."""

from __future__ import annotations

import asyncio
from pathlib import Path
from typing import Any

from hollowglow.messages.refusal import Refusal
from hollowglow.plan import Plan
from hollowglow.web.desk.desk import fingerprint
from hollowglow.web.desk.errands import Errand, Errands
from hollowglow.web.work.results import Brought
from hollowglow.web.work.worker import StoppedError, Worker
from tests.web.asking import Still, bench_of


class Held(Worker):
    """A worker whose work goes on until it is let go or stopped."""

    def __init__(self) -> None:
        super().__init__()
        self.end: asyncio.Future[Any] | None = None
        self._turns = asyncio.Lock()

    async def run(self, task: str, *args: Any, step: Any = None) -> Any:
        async with self._turns:
            self.end = asyncio.get_running_loop().create_future()
            step(1, 3, "a third")
            return await self.end

    def stop(self) -> None:
        if self.end is not None and not self.end.done():
            self.end.set_exception(StoppedError("Stopped."))


def of(errands: Errands, task: str) -> Errand:
    return errands.newest[task]


async def until(done: Any) -> None:
    async with asyncio.timeout(60):
        while not done():
            await asyncio.sleep(0.001)


def test_an_errand_tells_how_far_it_is_and_what_it_brought(demo_file: Path, demo_plan: Plan) -> None:
    async def work() -> None:
        desk, _ = await bench_of(demo_file, demo_plan)
        held = Held()
        errands = Errands(desk, held)
        assert errands.newest == {}
        await errands.start("feed", (), "Looking")
        await until(lambda: of(errands, "feed").words)
        now = of(errands, "feed")
        assert (now.state, now.done, now.all, now.words, now.of) == ("running", 1, 3, "a third", desk.digest)
        assert held.end is not None
        brought = Brought({}, {"before.svg": b"<svg/>"}, {})
        held.end.set_result(brought)
        await until(lambda: of(errands, "feed").state == "done")
        assert of(errands, "feed").result is brought
        assert errands.picture("feed", "before.svg") == b"<svg/>"

    asyncio.run(work())


def test_what_nobody_foresaw_ends_in_words_too(demo_file: Path, demo_plan: Plan) -> None:
    async def work() -> None:
        desk, _ = await bench_of(demo_file, demo_plan)
        held = Held()
        errands = Errands(desk, held)
        await errands.start("feed", (), "Looking")
        await until(lambda: held.end is not None)
        assert held.end is not None
        held.end.set_exception(ZeroDivisionError("by nothing"))
        await until(lambda: of(errands, "feed").state == "failed")
        assert "(ZeroDivisionError: by nothing). Ask for it again." in of(errands, "feed").trouble

    asyncio.run(work())


def test_stopping_one_that_waits_does_not_stop_the_one_that_runs(demo_file: Path, demo_plan: Plan) -> None:
    async def work() -> None:
        desk, _ = await bench_of(demo_file, demo_plan)
        errands = Errands(desk, Held())
        await errands.start("feed", (), "Looking")
        await until(lambda: of(errands, "feed").words)
        await errands.start("fill", ("acorn", None), "Comparing")
        await asyncio.sleep(0.01)
        assert of(errands, "fill").state == "waiting"
        await errands.stop("fill")
        assert (of(errands, "fill").state, of(errands, "feed").state) == ("stopped", "running")

        await errands.start("fill", ("acorn", None), "Comparing")
        await errands.stop("feed")
        assert of(errands, "feed").state == "stopped"
        await until(lambda: of(errands, "fill").words)
        await errands.stop("fill")
        assert of(errands, "fill").state == "stopped"
        await errands.stop("match")

    asyncio.run(work())


def test_what_went_wrong_is_kept_in_words(demo_file: Path, demo_plan: Plan) -> None:
    def wrong(*_: object) -> object:
        raise Refusal("There is no kind moon.")

    async def work() -> None:
        desk, _ = await bench_of(demo_file, demo_plan)
        errands = Errands(desk, Still(wrong))
        await errands.start("fill", ("moon",), "Comparing")
        await until(lambda: of(errands, "fill").state == "failed")
        assert of(errands, "fill").trouble == "There is no kind moon."

    asyncio.run(work())


def test_what_was_computed_of_a_file_that_something_else_changed_is_not_taken_for_that_of_the_desk(
    demo_file: Path, demo_plan: Plan
) -> None:
    async def work() -> None:
        desk, _ = await bench_of(demo_file, demo_plan)
        text = demo_file.read_text(encoding="utf-8")
        demo_file.write_text(text.replace("1.2 m", "1.3 m"), encoding="utf-8")
        errands = Errands(desk, Still(lambda *_: Brought({}, {}, {})))
        await errands.start("feed", (), "Looking")
        await until(lambda: of(errands, "feed").state == "done")
        assert of(errands, "feed").of == fingerprint(demo_file.read_text(encoding="utf-8")) != desk.digest
        demo_file.unlink()
        await errands.start("feed", (), "Looking")
        await until(lambda: of(errands, "feed").state == "done")
        assert of(errands, "feed").of == desk.digest

    asyncio.run(work())
