"""One display, two browsers, an editor and a full disk: nothing is lost, nothing half written, all is said."""

from __future__ import annotations

import asyncio
import errno
import os
import threading
import time
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import Any

import pytest

from hollowglow.file import history
from hollowglow.messages.errors import DisplayError
from hollowglow.messages.refusal import Refusal
from hollowglow.plan import Plan
from hollowglow.web.desk import desk as desks
from hollowglow.web.desk.desk import ClashError, Desk
from hollowglow.web.server import tasks
from hollowglow.web.work.worker import StoppedError, Worker
from tests.web.asking import Still, bench_of

LENGTH = ("strings", "gable", "lead", "length")
SPAN = ("strings", "gable", "span", "length")


def at_the_desk(path: Path, plan: Plan, work: Callable[[Desk], Awaitable[Any]]) -> Any:
    async def whole() -> Any:
        desk, _ = await bench_of(path, plan)
        return await work(desk)

    return asyncio.run(whole())


def lead(path: Path) -> str:
    found = [line for line in path.read_text(encoding="utf-8").splitlines() if "lead:" in line]
    return found[2].split("length: ")[1].rstrip("}").split("}")[0]


def test_two_browsers_change_two_things_and_the_second_of_one_thing_is_told(demo_file: Path, demo_plan: Plan) -> None:
    first = lead(demo_file)

    async def work(desk: Desk) -> None:
        await desk.put({LENGTH: "7 m"}, {LENGTH: first}, "a")
        await desk.put({SPAN: "1.3 m"}, {}, "b")
        with pytest.raises(ClashError) as clash:
            await desk.put({LENGTH: "8 m"}, {LENGTH: first}, "c")
        assert str(clash.value) == (
            f'strings.gable.lead.length was "{first}" when this page was made and is "7 m" by now, so nothing was '
            "changed. The page shows the new value; change it again if you still want to."
        )
        # Both had the same thought: that is no clash.
        await desk.put({LENGTH: "7 m"}, {LENGTH: first}, "d")

    at_the_desk(demo_file, demo_plan, work)
    assert lead(demo_file) == "7 m"
    assert "1.3 m" in demo_file.read_text(encoding="utf-8")


def test_a_file_that_is_gone_is_noticed_and_not_made_again(
    demo_file: Path, demo_plan: Plan, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(desks, "WATCH_S", 0.01)

    async def work(desk: Desk) -> None:
        watching = asyncio.create_task(desk.watch())
        text = demo_file.read_text(encoding="utf-8")
        demo_file.unlink()
        version = desk.version
        await desk.newer(version, 60)
        assert desk.elsewhere.startswith("cannot be read any more")
        assert desk.read_only
        with pytest.raises(Refusal, match=r"landing\.yaml cannot be read, so nothing was changed"):
            await desk.put({LENGTH: "7 m"}, {}, "a")
        assert not demo_file.exists()
        assert desk.plan is demo_plan
        version = desk.version
        # As an editor does it: all at once, so that nobody sees half of it.
        whole = demo_file.with_suffix(".new")
        whole.write_text(text, encoding="utf-8")
        os.replace(whole, demo_file)
        await desk.newer(version, 60)
        assert not desk.read_only
        watching.cancel()

    at_the_desk(demo_file, demo_plan, work)


def test_what_was_read_before_an_edit_of_the_workbench_is_no_news(
    demo_file: Path, demo_plan: Plan, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(desks, "WATCH_S", 0.001)
    usual, calls, held, go_on = desks.read_text, [0], threading.Event(), threading.Event()

    def read_text(path: Path) -> str:
        text = usual(path)
        calls[0] += 1
        if calls[0] == 1:  # the watch, on a machine that gives it no turn until the edit is through
            held.set()
            assert go_on.wait(60)
        return text

    async def work(desk: Desk) -> None:
        monkeypatch.setattr(desks, "read_text", read_text)
        watching = asyncio.create_task(desk.watch())
        await asyncio.to_thread(held.wait, 60)
        await desk.put({LENGTH: "7 m"}, {}, "a")
        told: list[str] = []
        tell = desk.tell

        async def noted() -> None:
            told.append(desk.elsewhere)
            await tell()

        monkeypatch.setattr(desk, "tell", noted)
        before = calls[0]
        go_on.set()
        async with asyncio.timeout(60):
            while calls[0] < before + 3:
                await asyncio.sleep(0.001)
        watching.cancel()
        assert not any(told)
        assert not desk.read_only

    at_the_desk(demo_file, demo_plan, work)


def test_what_the_watch_finds_while_the_file_is_read_again_is_no_news(
    demo_file: Path, demo_plan: Plan, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(desks, "WATCH_S", 0.001)
    usual, calls, seen, go_on = desks.read_text, [0], threading.Event(), threading.Event()

    def read_text(path: Path) -> str:
        text = usual(path)
        calls[0] += 1
        if calls[0] == 1:  # the watch, which has seen the change but not yet told it
            seen.set()
            assert go_on.wait(60)
        elif calls[0] == 2:  # reading again, slower than the watch
            go_on.set()
            time.sleep(0.2)
        return text

    async def work(desk: Desk) -> None:
        demo_file.write_text(desk.text.replace("Ferry landing", "Harbour landing"), encoding="utf-8")
        monkeypatch.setattr(desks, "read_text", read_text)
        watching = asyncio.create_task(desk.watch())
        await asyncio.to_thread(seen.wait, 60)
        monkeypatch.setattr(desks, "WATCH_S", 60)  # it does not look again
        await desk.read()
        watching.cancel()
        assert "Harbour landing" in desk.text
        assert (desk.elsewhere, desk.read_only) == ("", False)

    at_the_desk(demo_file, demo_plan, work)


def test_a_full_disk_leaves_the_file_as_it_was_and_a_later_try_goes_through(
    demo_file: Path, demo_plan: Plan, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = demo_file.read_bytes()
    sync = os.fsync

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    async def work(desk: Desk) -> None:
        monkeypatch.setattr(os, "fsync", full)
        with pytest.raises(Refusal, match="No space left on device"):
            await desk.put({LENGTH: "7 m"}, {}, "a")
        assert demo_file.read_bytes() == before
        assert [p.name for p in demo_file.parent.iterdir() if "landing.yaml" in p.name] == ["landing.yaml"]
        assert desk.text.encode() == before
        monkeypatch.setattr(os, "fsync", sync)
        await desk.put({LENGTH: "7 m"}, {}, "a")

    at_the_desk(demo_file, demo_plan, work)
    assert lead(demo_file) == "7 m"


def test_undo_and_redo_walk_through_the_very_bytes(demo_file: Path, demo_plan: Plan) -> None:
    states = [demo_file.read_bytes()]

    async def work(desk: Desk) -> None:
        for edits in ({LENGTH: "7 m"}, {SPAN: "1.3 m"}, {LENGTH: None}):
            try:
                await desk.put(edits, {}, "a")
            except DisplayError:
                continue
            states.append(demo_file.read_bytes())
        for before in reversed(states[:-1]):
            await desk.undo()
            assert demo_file.read_bytes() == before
        with pytest.raises(Refusal, match="has no edit of Hollowglow to undo"):
            await desk.undo()
        for after in states[1:]:
            await desk.redo()
            assert demo_file.read_bytes() == after

    at_the_desk(demo_file, demo_plan, work)
    assert len(states) >= 3


def test_a_slider_that_is_dragged_is_one_step_back_and_a_later_drag_is_another(
    demo_file: Path, demo_plan: Plan, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = demo_file.read_bytes()
    now = [1000.0]
    monkeypatch.setattr(history.time, "time", lambda: now[0])

    async def work(desk: Desk) -> None:
        for metres in range(5, 12):
            now[0] += 0.3
            await desk.put({LENGTH: f"{metres} m"}, {}, "dragged")
        dragged = demo_file.read_bytes()
        now[0] += history.MERGE_S + 0.1
        await desk.put({LENGTH: "20 m"}, {}, "later")
        await desk.undo()
        assert demo_file.read_bytes() == dragged
        await desk.undo()

    at_the_desk(demo_file, demo_plan, work)
    assert demo_file.read_bytes() == before


def test_an_edit_that_makes_a_mistake_writes_nothing(demo_file: Path, demo_plan: Plan) -> None:
    before = demo_file.read_bytes()

    async def work(desk: Desk) -> None:
        with pytest.raises(DisplayError) as error:
            await desk.put({LENGTH: "7 lightyears", SPAN: "1.3 m"}, {}, "a")
        assert [p.where for p in error.value.problems] == ["strings.gable.lead.length"]
        assert desk.plan is demo_plan

    at_the_desk(demo_file, demo_plan, work)
    assert demo_file.read_bytes() == before


def test_what_was_computed_for_another_text_is_not_written(demo_file: Path, demo_plan: Plan) -> None:
    from hollowglow.file.text.commands import Put

    async def work(desk: Desk) -> None:
        of = desk.digest
        await desk.put({SPAN: "1.3 m"}, {}, "a")
        changed = demo_file.read_bytes()
        with pytest.raises(ClashError, match="Compute it again"):
            await desk.apply([Put(LENGTH, "7 m")], of, "b")
        assert demo_file.read_bytes() == changed
        await desk.apply([Put(LENGTH, "7 m")], desk.digest, "b")

    at_the_desk(demo_file, demo_plan, work)
    assert lead(demo_file) == "7 m"


@pytest.mark.parametrize(
    ("error", "told"),
    [(StoppedError("x"), "Stopped. What is shown is older than the file."), (Refusal("No memory."), "No memory.")],
)
def test_a_plan_that_does_not_come_is_told_and_the_last_one_stays(
    error: Exception, told: str, demo_file: Path, demo_plan: Plan
) -> None:
    async def work(desk: Desk) -> None:
        def raises(*_: object) -> object:
            raise error

        desk.worker = Still(raises)
        await desk.put({SPAN: "1.3 m"}, {}, "a")
        await desk.settled(60)
        assert (desk.trouble, desk.plan, desk.current, desk.solving) == (told, demo_plan, False, None)
        desk.worker = Still(lambda *_: demo_plan)
        await desk.again()
        await desk.settled(60)
        assert (desk.trouble, desk.current) == ("", True)

    at_the_desk(demo_file, demo_plan, work)


def test_a_plan_is_that_of_the_text_on_the_desk_whatever_the_file_says_by_then(small_file: Path) -> None:
    ours = small_file.read_text(encoding="utf-8")

    class Late(Worker):
        """A worker that something else is quicker than."""

        async def run(self, task: str, *args: Any, step: Any = None) -> Any:
            small_file.write_text(ours.replace("3 * dot", "2 * dot"), encoding="utf-8")
            done = await asyncio.to_thread(tasks.TASKS[task], tasks.PlanMemory(), lambda *_: None, *args)
            small_file.write_text(ours, encoding="utf-8")
            return done

    async def work() -> None:
        desk = Desk(small_file, Late())
        await desk.read()
        await desk.settled(60)
        assert desk.current
        assert desk.plan is not None
        assert len(desk.plan.assembly.props.string) == 5

    asyncio.run(work())
