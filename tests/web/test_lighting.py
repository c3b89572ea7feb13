"""What is sent and heard at the workbench, without pages: moves, answers, changes of the display, and every way to end."""

from __future__ import annotations

import asyncio
import json
import socket
import struct
import time
from collections.abc import Awaitable, Callable
from contextlib import suppress
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from hollowglow.jobs.plan import plan_file
from hollowglow.measured.readings import answered
from hollowglow.messages.refusal import Refusal
from hollowglow.net import addresses
from hollowglow.net.sending.left_on import LeftOn, Record, noticed, now_text
from hollowglow.net.sending.sender import Sender
from hollowglow.show.demand import AddressMap, Allowed, Demand
from hollowglow.show.walk import RAMP_S
from hollowglow.view.pictures.night import Meter, Paint, night_of
from hollowglow.web.desk.desk import Desk
from hollowglow.web.rooms.test import stream as glowing
from hollowglow.web.rooms.test.lighting import Lighting, Wanted
from hollowglow.web.rooms.test.listening import Listening
from hollowglow.web.rooms.test.stream import GlowStream
from tests.web.lit import SMALL, Ear, changed, desk_with, soon


@pytest.fixture
def file(small_file: Path) -> Path:
    return small_file


class Clock:
    """A clock that goes only where a test moves it."""

    def __init__(self) -> None:
        self.now_s = time.monotonic()

    def __call__(self) -> float:
        return self.now_s


def while_sending(
    file: Path,
    wanted: Wanted,
    work: Callable[[Desk, Lighting], Awaitable[None]],
    clock: Callable[[], float] | None = None,
) -> Lighting:
    """Start sending a display, work with it, stop; return what sent."""

    async def whole() -> Lighting:
        desk = desk_with(file)
        lighting = Lighting(desk) if clock is None else Lighting(desk, clock)
        await lighting.start(wanted)
        await work(desk, lighting)
        await lighting.stop()
        return lighting

    return asyncio.run(whole())


def test_a_walk_lights_what_its_step_is_about_and_a_stop_leaves_it_dark(file: Path, ear: Ear) -> None:
    async def walk(_desk: Desk, lighting: Lighting) -> None:
        # Slots 1 to 9 are the three lights of the string eave, 10 to 15 those of arch: packed, three slots a light.
        await soon(lambda: ear.slots()[:15] == bytes([255] * 9 + [0] * 6))
        await lighting.move("jump", "prop arch/prop02")
        await soon(lambda: ear.slots()[:15] == bytes([0] * 12 + [255] * 3))
        await lighting.light("eave/2", "#ff8000", 100)
        await soon(lambda: ear.slots()[:15] == bytes([0, 0, 0, 255, 128, 0] + [0] * 9))
        await lighting.move("walk")
        await soon(lambda: ear.slots()[:15] == bytes([0] * 12 + [255] * 3))

    assert not while_sending(file, Wanted(ear.at), walk).sending
    assert noticed(file) is None
    # ANSI E1.31-2018 clause 6.2.6: three packets with the Stream_Terminated bit end a stream.
    assert ear.terminated == 3
    assert [packet.universe for packet in ear.heard[-3:]] == [3, 3, 3]


@pytest.mark.parametrize(
    ("wanted", "words"),
    [
        (Wanted(""), "Type the address of the controller first; nothing was sent."),
        (
            Wanted("127.0.0.1:99999"),
            'Found port 99999 in "127.0.0.1:99999", expected 1 to 65535. E1.31 receivers listen on 5568.',
        ),
        (
            Wanted("http://10.0.0.1/"),
            'Found "http://10.0.0.1/", expected multicast, a host or host:port. Example: 192.168.1.20',
        ),
    ],
)
def test_a_wrong_address_is_told_without_naming_options(file: Path, wanted: Wanted, words: str) -> None:
    async def begin() -> None:
        lighting = Lighting(desk_with(file))
        with pytest.raises(Refusal) as told:
            await lighting.start(wanted)
        assert str(told.value) == words
        assert not lighting.sending

    asyncio.run(begin())


def test_a_public_address_is_refused_unless_the_box_is_ticked(file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    # An address of RFC 5737, which is nobody's; nothing is looked up, and nothing is sent to it here.
    found = [(socket.AF_INET, socket.SOCK_DGRAM, socket.IPPROTO_UDP, "", ("203.0.113.9", 5568))]
    monkeypatch.setattr(socket, "getaddrinfo", lambda *_arguments, **_options: found)

    async def begin() -> None:
        lighting = Lighting(desk_with(file))
        with pytest.raises(Refusal) as told:
            await lighting.start(Wanted("203.0.113.9"))
        assert str(told.value) == (
            "203.0.113.9 is a public address, so nothing was sent. Lights are reached at private addresses such as "
            "192.168.1.20; if this one is meant all the same, tick the box under the address."
        )
        assert not lighting.sending

    asyncio.run(begin())
    assert addresses.target("203.0.113.9", yes_public=True).host == ("203.0.113.9", 5568)


def test_an_answer_sent_again_counts_once_and_only_the_first_time_moves_on(file: Path, ear: Ear) -> None:
    async def walk(_desk: Desk, lighting: Lighting) -> None:
        assert lighting.session is not None
        for _ in range(3):
            made = await lighting.answer("id-of-the-asker", "lit", "prop:eave/prop01")
            assert (made["answer"], made["target"]) == ("lit", "eave/prop01")
            assert lighting.session.walk.step.id == "prop:eave/prop02"
        # A later answer under the same id is not taken; what was kept is told.
        assert (await lighting.answer("id-of-the-asker", "dark", "prop:eave/prop01"))["answer"] == "lit"
        # An answer to a step that is not shown any more stays with that step.
        made = await lighting.answer("another-id", "dark", "prop:eave/prop01")
        assert made["open"]
        assert "eave/prop01" in made["means"]
        assert lighting.session.walk.step.id == "prop:eave/prop02"
        await lighting.stop()
        await lighting.answer("after-the-stop", "dim", "prop:arch/prop01")

    while_sending(file, Wanted(ear.at, only="prop"), walk)
    assert [(a.id, a.target, a.answer) for a in answered(file)] == [
        ("id-of-the-asker", "eave/prop01", "lit"),
        ("another-id", "eave/prop01", "dark"),
        ("after-the-stop", "arch/prop01", "dim"),
    ]


def test_a_trial_rises_and_one_move_makes_it_dark(file: Path, ear: Ear) -> None:
    clock = Clock()

    async def walk(_desk: Desk, lighting: Lighting) -> None:
        await soon(ear.slots)
        assert not any(ear.slots())
        await lighting.move("go")
        begun = clock.now_s
        for share in (0.25, 0.75, 1.0, 1.75):
            clock.now_s = begun + share * RAMP_S
            value = 255 * min(share, 1.0)
            await soon(lambda value=value: abs(max(ear.slots()) - value) <= 1.0)  # type: ignore[misc]
        await lighting.move("blackout")
        await soon(lambda: not any(ear.slots()))

    while_sending(file, Wanted(ear.at, only="load"), walk, clock)


def test_what_is_sent_follows_a_change_of_the_display(file: Path, ear: Ear) -> None:
    async def walk(desk: Desk, lighting: Lighting) -> None:
        await lighting.move("jump", "string arch")
        await soon(lambda: ear.slots()[:15] == bytes([0] * 9 + [255] * 6))
        await changed(desk, "3 * dot", "2 * dot")
        # The string before it is shorter by one light, so arch begins three slots earlier.
        await soon(lambda: ear.slots()[:15] == bytes([0] * 6 + [255] * 6 + [0] * 3))
        assert any("follows" in words for words in lighting.said)
        assert ear.terminated == 0

    while_sending(file, Wanted(ear.at), walk)


def test_other_universes_end_the_sending_in_words(file: Path, ear: Ear) -> None:
    async def walk(desk: Desk, lighting: Lighting) -> None:
        await soon(ear.slots)
        await changed(desk, "first_universe: 3", "first_universe: 7")
        await soon(lambda: not lighting.sending)
        await soon(lambda: ear.terminated == 3)
        assert (
            lighting.ended == "The display was changed and has other universes now, so sending stopped. Start it again."
        )

    while_sending(file, Wanted(ear.at), walk)


def test_lights_go_dark_after_nobody_has_been_there_for_the_stated_time(file: Path, ear: Ear) -> None:
    clock = Clock()

    async def walk(_desk: Desk, lighting: Lighting) -> None:
        lighting.pages = 1
        clock.now_s += 10.0
        await asyncio.sleep(0.2)
        assert lighting.sending
        lighting.pages = 0
        await soon(lambda: not lighting.sending)
        assert lighting.ended == "No page was open for 0.005 min, so the lights were made dark."
        with pytest.raises(Refusal, match="Nothing is being sent now"):
            await lighting.move("next")

    while_sending(file, Wanted(ear.at, away_s=0.3), walk, clock)
    assert ear.terminated == 3


def test_what_a_killed_run_left_on_is_told_and_made_dark(file: Path, ear: Ear) -> None:
    with Record(file) as record:
        record.begin(LeftOn("a walk", ear.at, None, (3,), "Small yard - Hollowglow", 100, now_text()))

    async def look() -> None:
        lighting = Lighting(desk_with(file))
        await lighting.look()
        assert "was cut off while a walk was lit at" in lighting.left_on
        await lighting.blackout(yes_public=False)
        await lighting.look()
        assert lighting.left_on == ""

    asyncio.run(look())
    assert ear.terminated == 3
    assert not any(any(packet.slots) for packet in ear.heard)


async def until_free(listening: Listening) -> None:
    """Listen at a free port; where another program takes it just then, at another one."""
    for _ in range(10):
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as free:
            free.bind(("127.0.0.1", 0))
            port = free.getsockname()[1]
        with suppress(Refusal):
            await listening.start("", port)
            return
    raise AssertionError(listening.ended)


def test_a_show_of_another_program_is_heard_with_its_colours_and_currents(file: Path) -> None:
    async def hear() -> None:
        desk = desk_with(file)
        assert desk.plan is not None
        listening = Listening(desk)
        await until_free(listening)
        port = listening.port
        slots = np.zeros((1, 512), dtype=np.uint8)
        slots[0, :9] = 255
        with Sender((3,), f"127.0.0.1:{port}", cid=bytes(16), source="a show") as sender:
            sender.show(slots)
            await soon(lambda: listening.heard is not None and listening.heard.screen[0, 0] == 255)
            heard = listening.heard
            assert heard is not None
            assert heard.screen.tolist() == [[255] * 3] * 3 + [[0] * 3] * 2
            assert heard.data["sources"] == ["a show (127.0.0.1)"]
            # Three lights of 3 x 20 mA and 1 mA each at full, two that only idle at 1 mA.
            assert heard.data["draws"][0]["id"] == "shed"
            assert heard.data["draws"][0]["current"] == pytest.approx(3 * 0.061 + 2 * 0.001, abs=1e-4)
        await listening.stop()
        assert not listening.on

    asyncio.run(hear())


class SlowPage:
    """A page that takes messages only when it is told to."""

    def __init__(self) -> None:
        self.frames: list[bytes] = []
        self.states: list[dict[str, Any]] = []
        self.taken: asyncio.Queue[str] = asyncio.Queue()

    async def accept(self) -> None: ...

    async def send_bytes(self, data: bytes) -> None:
        self.frames.append(data)

    async def send_text(self, data: str) -> None:
        self.states.append(json.loads(data))

    async def receive_text(self) -> str:
        return await self.taken.get()


def while_watched(
    file: Path,
    ear: Ear,
    page: SlowPage,
    work: Callable[[Lighting, GlowStream], Awaitable[None]],
    clock: Callable[[], float],
) -> None:
    """Start a full-load trial that a page watches, and work with it."""

    async def watch(desk: Desk, lighting: Lighting) -> None:
        glow = GlowStream(desk, lighting, Listening(desk))
        streaming = asyncio.create_task(glow.stream(page))  # type: ignore[arg-type]
        await lighting.move("go")
        await work(lighting, glow)
        streaming.cancel()

    while_sending(file, Wanted(ear.at, only="load"), watch, clock)


def test_a_page_that_falls_behind_gets_the_newest_colours_and_no_queue(file: Path, ear: Ear) -> None:
    clock, page = Clock(), SlowPage()

    async def watch(_proving: Lighting, glow: GlowStream) -> None:
        # Full white over eight looks, each sent and there to be seen, but nothing was taken.
        for eighth in range(1, 9):
            clock.now_s += RAMP_S / 8
            await soon(lambda least=255 * eighth / 8 - 1: max(ear.slots(), default=0) >= least)  # type: ignore[misc]
            await asyncio.sleep(2 / glowing.RATE_HZ)
        await soon(lambda: len(page.states) == glowing.STATES_UNDER_WAY)
        await soon(lambda: len(page.frames) == glowing.FRAMES_UNDER_WAY)
        assert max(page.frames[-1][4:]) < 255
        page.taken.put_nowait("f")
        await soon(lambda: len(page.frames) == glowing.FRAMES_UNDER_WAY + 1)
        assert struct.unpack("<I", page.frames[-1][:4])[0] == glow.stamp
        # The newest look, none of those between.
        assert set(page.frames[-1][4:]) == {255}
        assert len(page.states) == glowing.STATES_UNDER_WAY

    while_watched(file, ear, page, watch, clock)


def test_a_page_that_keeps_up_gets_thirty_looks_a_second_at_most(file: Path, ear: Ear) -> None:
    class QuickPage(SlowPage):
        async def send_bytes(self, data: bytes) -> None:
            await super().send_bytes(data)
            self.taken.put_nowait("f")

    page = QuickPage()

    async def watch(_proving: Lighting, _glow: GlowStream) -> None:
        begin, before = time.monotonic(), len(page.frames)
        await soon(lambda: len(page.frames) >= before + 20)
        assert len(page.frames) - before <= glowing.RATE_HZ * (time.monotonic() - begin) + 2

    while_watched(file, ear, page, watch, time.monotonic)


def test_strings_without_places_lie_in_rows_a_span_apart(file: Path) -> None:
    night = night_of(plan_file(str(file)))
    assert not night.placed
    eave, arch = night.spots_m[:3], night.spots_m[3:]
    assert np.diff(eave[:, 0]) == pytest.approx([0.5, 0.5])
    assert np.diff(arch[:, 0]) == pytest.approx([0.25])
    assert len(set(eave[:, 1])) == len(set(arch[:, 1])) == 1
    assert arch[0, 1] < eave[0, 1]


def test_strings_with_places_are_seen_there(tmp_path: Path) -> None:
    path = tmp_path / "placed.yaml"
    spots = "place: {points: [[1 m, 2 m], [3 m, 2.5 m], [4 m, 2 m]]}, lead: {cable: wire, length: 2 m}"
    path.write_text(
        SMALL.replace("lead: {cable: wire, length: 2 m}", spots).replace("500 mm", "2.5 m"), encoding="utf-8"
    )
    night = night_of(plan_file(str(path)))
    assert night.spots_m[:3].tolist() == [[1.0, 2.0], [3.0, 2.5], [4.0, 2.0]]
    assert (night.spots_m[3:, 1] < 2.0).all()


def test_slots_become_screen_values_by_the_curve_and_the_standard(file: Path) -> None:
    file.write_text(SMALL.replace("rate: 40 Hz", "rate: 40 Hz, curve: gamma 2.2"), encoding="utf-8")
    table = AddressMap.of(plan_file(str(file)).assembly)
    colours = np.array([[255, 128, 0]] * 5, dtype=np.uint8)
    # IEC 61966-2-1 of (128/255)^2.2 = 0.2195: 1.055 x 0.2195^(1/2.4) - 0.055 = 0.5059, of 255 that is 129.
    assert Paint.of(table).screen(table.frame(colours))[0].tolist() == [255, 129, 0]


def test_the_meter_shows_the_plans_own_currents_at_full_white(file: Path) -> None:
    plan = plan_file(str(file))
    demand = Demand.of(plan.assembly)
    meter = Meter(demand, Allowed.of(demand))
    meter.take(AddressMap.of(plan.assembly).full())
    meter.take(AddressMap.of(plan.assembly).dark())
    row = meter.rows[0]
    assert row["peak"] == pytest.approx(float(plan.power.mean.supply_a[0]), abs=1e-4)
    # Five lights idle at 1 mA.
    assert row["current"] == pytest.approx(0.005, abs=1e-4)
