"""A show that is heard: what is seen, warned of and summed up, with time and datagrams passed in."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from hollowglow.cli.live import watch_lines as show_watch
from hollowglow.cli.live.watch_lines import blocks, both_volts, one_line, picture, summary
from hollowglow.cli.show.tables import terminal
from hollowglow.jobs.shows.watch import Watch
from tests.cli.running import run_here
from tests.net.hosts import on_its_own
from tests.show.demand.captures import datagram
from tests.show.demand.samples import built
from tests.show.demand.test_analyse import grey, simple


def watch_of(said: list[str]) -> Watch:
    return Watch(built(simple()), said.append)


def send(watch: Watch, value: int, sequence: int, at_s: float) -> None:
    frame = grey(watch.demand, value)
    for row, universe in enumerate(watch.universes):
        watch.hear(datagram(universe, sequence, frame[row].tobytes()), "192.0.2.7", at_s)


def test_it_warns_once_when_a_limit_is_passed_and_sums_up() -> None:
    said: list[str] = []
    watch = watch_of(said)
    watch.look(0.0)
    for k, value in enumerate([51, 51, 255, 255, 255, 51, 51]):
        send(watch, value, k, 1.0 + 0.1 * k)
        watch.look(1.05 + 0.1 * k)
    seen = watch.end(1.7)
    assert [w for w in said if "Limit" in w] == ["Limit passed: shed at 64.8 W, 130 % of its rating (limit 80 %)."]
    assert any("is heard" in w for w in said)
    assert watch.peak_a[0] == pytest.approx(5.4, rel=1e-5)
    assert watch.over_s[0] == pytest.approx(0.3, abs=1e-9)
    # 12.96 W for 0.4 s and 64.8 W for 0.3 s.
    assert watch.energy_j == pytest.approx(12.96 * 0.4 + 64.8 * 0.3, rel=1e-5)
    assert seen.current_a[0] == pytest.approx(5.4 / 5, rel=1e-5)
    assert seen.lost == 0


def test_lost_packets_are_counted_and_silence_is_dark() -> None:
    watch = watch_of([])
    send(watch, 255, 0, 0.0)
    send(watch, 255, 5, 0.025)
    # Four sequence numbers are missing in each of two universes.
    assert watch.look(0.1).lost == 8
    seen = watch.look(2.6)
    assert not seen.colours.any()
    assert seen.current_a[0] == pytest.approx(0.0, abs=1e-6)


def test_another_show_and_noise_on_the_network_make_no_frames() -> None:
    watch = watch_of([])
    for k in range(40):
        at_s = 0.025 * k
        send(watch, 255, k, at_s)
        for other in (500, 501, 500):
            watch.hear(datagram(other, k, bytes(512)), "192.0.2.8", at_s + 0.01)
        watch.hear(b"noise", "192.0.2.9", at_s + 0.011)
        watch.hear(bytes(200), "192.0.2.9", at_s + 0.012)
    seen = watch.look(1.02)
    assert watch.frames == 40
    assert seen.rate_hz == pytest.approx(20.0)  # 40 frames in the last 2 s
    # The other show goes on when this one falls silent: its lights are dark then all the same.
    for k in range(40, 200):
        watch.hear(datagram(500, k % 256, bytes(512)), "192.0.2.8", 0.025 * k)
    assert not watch.look(5.0).colours.any()
    assert watch.frames == 41


def test_a_source_of_several_universes_is_told_once() -> None:
    said: list[str] = []
    watch = watch_of(said)
    send(watch, 255, 0, 0.0)
    watch.look(0.1)
    watch.look(3.0)
    assert said[0] == 'universes 1 to 2: "independent" (192.0.2.7) is heard'
    assert said[-1] == 'universes 1 to 2: "independent" (192.0.2.7) fell silent'
    assert sum("independent" in words for words in said) == 2


def test_the_picture_and_the_line_hold_colours_and_numbers() -> None:
    watch = watch_of([])
    send(watch, 255, 0, 0.0)
    seen = watch.look(0.1)
    assert one_line(watch, seen).startswith("0:00.00  0.5 frames/s  shed 5.4 A (peak 5.4 A)  lowest 12.00 V")
    console = terminal()
    with console.capture() as caught:
        console.print(picture(watch, seen))
        summary(console, watch)
    assert "independent (192.0.2.7)" in caught.get()
    assert "█" in caught.get()
    assert "OVER" in caught.get()


def test_the_voltage_of_a_moment_stands_beside_the_mean_where_it_is_lower() -> None:
    none = np.array([np.nan])
    assert both_volts(np.array([11.5, 11.2]), np.array([10.5, 10.1])) == "11.20 V (10.10 V)"
    assert both_volts(np.array([11.2]), np.array([11.2])) == both_volts(np.array([11.2]), none) == "11.20 V"
    assert both_volts(none, none) == "-"


def test_blocks_are_encoded_for_a_screen() -> None:
    # IEC 61966-2-1: linear 0.2140 is the screen value 127/255.
    shown = blocks(np.array([[0.2122, 0.0, 1.0], [0.0, 0.0, 0.0]]))
    assert shown.plain == "█·"
    assert str(shown.spans[0].style) == "rgb(127,0,255)"


def test_a_time_that_cannot_be_is_said(tmp_path: Path) -> None:
    done = run_here("watch", written(tmp_path), "--seconds", "-3")
    assert "--seconds: found -3, expected more than 0 and at most 604,800." in done.stderr


def test_silence_is_said(tmp_path: Path) -> None:
    done = on_its_own("-m", "hollowglow", "watch", str(written(tmp_path)), "--seconds", "0.5")
    told = "Only this computer was listened to; add --from multicast, or --from and the address"
    assert told in " ".join((done.stdout + done.stderr).split())


class Silence:
    """Nothing comes, and its clock goes on only while it is listened to."""

    def __init__(self, now_s: list[float]) -> None:
        self.now_s = now_s

    def __enter__(self) -> Silence:
        return self

    def __exit__(self, *_: object) -> None: ...

    def receive(self, wait_s: float) -> None:
        self.now_s[0] += max(wait_s, 0.01)


def test_the_time_to_watch_begins_once_the_display_is_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    now_s, made = [100.0], Watch.of

    def slowly(path: Path, say: Callable[[str], None]) -> Watch:
        now_s[0] += 60.0
        return made(path, say)

    monkeypatch.setattr(Watch, "of", slowly)
    monkeypatch.setattr(show_watch, "time", SimpleNamespace(monotonic=lambda: now_s[0]))
    monkeypatch.setattr(show_watch, "Receiver", lambda *_arguments, **_options: Silence(now_s))
    assert not show_watch.watching(written(tmp_path), (), None, 2.5)
    assert now_s[0] == pytest.approx(162.5, abs=0.1)


def written(folder: Path) -> Path:
    path = folder / "show.yaml"
    path.write_text(json.dumps(simple()), encoding="utf-8")
    return path


# Sends the packets of one frame over and over while a display is watched, until some words are shown, then Ctrl-C.
WATCHED = """
import signal, socket, subprocess, sys, threading
display, words, *packets = sys.argv[1:]
packets, over = [bytearray.fromhex(packet) for packet in packets], threading.Event()
def send():
    sequence = 0
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as out:
        while not over.wait(0.02):
            for packet in packets:
                packet[111] = sequence % 256
                out.sendto(packet, ("127.0.0.1", 5568))
            sequence += 1
sending = threading.Thread(target=send)
sending.start()
heed = lambda: signal.signal(signal.SIGINT, signal.default_int_handler)
command = [sys.executable, "-m", "hollowglow", "watch", display, "--seconds", "60"]
watching = subprocess.Popen(command, stdout=subprocess.PIPE, text=True, preexec_fn=heed)
for line in watching.stdout:
    print(line, end="")
    if words in line:
        watching.send_signal(signal.SIGINT)
        break
print(watching.communicate()[0])
over.set()
sending.join()
sys.exit(watching.returncode)
"""


def test_the_command_watches_loopback_and_ends_with_one_where_a_limit_was_passed(tmp_path: Path) -> None:
    watch = watch_of([])
    frame = grey(watch.demand, 255)
    packets = [datagram(u, 0, frame[row].tobytes()).hex() for row, u in enumerate(watch.universes)]
    done = on_its_own("-c", WATCHED, str(written(tmp_path)), "shed 5.4 A (peak 5.4 A)", *packets)
    assert done.returncode == 1, done.stderr + done.stdout
    assert "Limit passed: shed at 64.8 W, 130 % of its rating (limit 80 %)." in done.stdout
    assert "shed 5.4 A (peak 5.4 A)" in done.stdout
