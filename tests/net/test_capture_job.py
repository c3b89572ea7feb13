"""Capturing for a display: whatever ends it, what was heard until then stays."""

import io
import os
import signal
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import hollowglow.jobs.shows.capture as job
from hollowglow.net.hearing.capture import Writer, read
from hollowglow.net.hearing.receiver import Datagram
from tests.cli.test_light import JETTY
from tests.net.senders import data


class Ears:
    """Hears packet after packet, and does something else at the last."""

    def __init__(self, last: Callable[[], None], packets: int = 30) -> None:
        self._last, self._left, self._at_s = last, packets, 0.0

    def __enter__(self) -> "Ears":
        return self

    def __exit__(self, *_: object) -> None:
        pass

    def receive(self, wait_s: float) -> Datagram:
        if not self._left:
            self._last()
        self._left -= 1
        self._at_s += 0.025
        return Datagram(
            data(7, -self._left % 256, b"\x09"), "127.0.0.1", self._at_s, ("127.0.0.1", 5000), ("127.0.0.1", 5568)
        )

    def time_of_day_s(self, at_s: float) -> float:
        return 1_764_000_000.0 + at_s


@pytest.fixture
def display(tmp_path: Path) -> Path:
    path = tmp_path / "jetty.yaml"
    path.write_text(JETTY, encoding="utf-8")
    return path


def failing() -> None:
    raise RuntimeError("a fault of the program")


def test_a_fault_of_the_program_keeps_what_was_heard(display: Path, tmp_path: Path) -> None:
    to = tmp_path / "show.pcapng"
    with pytest.raises(RuntimeError):
        job.capture_file(display, to, 60.0, open_receiver=lambda *_, **__: Ears(failing))
    assert len(list(read(to))) == 30


def test_a_request_to_end_ends_it_as_an_interrupt_does(display: Path, tmp_path: Path) -> None:
    to = tmp_path / "show.pcapng"
    captured = job.capture_file(
        display, to, 60.0, open_receiver=lambda *_, **__: Ears(lambda: os.kill(os.getpid(), signal.SIGTERM))
    )
    assert captured.datagrams == 30
    assert len(list(read(to))) == 30


class Full(io.FileIO):
    """A file on a disk that is full after so many octets."""

    room = 10_000

    def write(self, octets: Any) -> int:
        fits = min(len(octets), self.room - self.tell())
        if not fits:
            raise OSError(28, "No space left on device")
        return int(super().write(bytes(octets)[:fits]) or 0)


def test_a_full_disk_keeps_what_fits_and_is_said(
    display: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    to = tmp_path / "show.pcapng"
    monkeypatch.setattr(job, "_new_file", lambda path: Full(path, "xb"))
    captured = job.capture_file(display, to, 60.0, open_receiver=lambda *_, **__: Ears(failing, 1000))
    assert any("No space left on device" in note for note in captured.notes)
    reading = read(to)
    assert len(list(reading)) == captured.datagrams > 20
    assert reading.cut


def test_a_part_of_a_packet_is_no_packet() -> None:
    class Small(io.BytesIO):
        def write(self, octets: Any) -> int:
            return super().write(bytes(octets)[:50])

    with pytest.raises(OSError, match="No space left"):
        Writer(Small()).write(0.0, ("127.0.0.1", 1), ("127.0.0.1", 5568), bytes(100))
