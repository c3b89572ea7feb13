"""Capturing a show: what is kept, what is said, and that nothing is left behind where nothing was heard."""

import re
import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path

import pytest

from hollowglow.cli.terminal.words import of_error
from hollowglow.jobs.shows.capture import Captured, Ears, capture_file, ears, universes_of
from hollowglow.jobs.start.demo import write_demo
from hollowglow.messages.refusal import Refusal
from hollowglow.net.hearing.capture import read
from hollowglow.net.hearing.receiver import Receiver
from tests.cli.running import big_display
from tests.net.senders import data


@pytest.fixture(scope="module")
def display(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("work") / "demo"
    write_demo(folder)
    return folder / "landing.yaml"


@pytest.fixture
def receiver() -> Iterator[Receiver]:
    """Yield what listens already, so that nobody else takes its port; a capture closes it."""
    with Receiver(port=0) as made:
        yield made


@pytest.fixture
def port(receiver: Receiver) -> int:
    return receiver.port


@contextmanager
def show(port: int, datagrams: list[bytes]) -> Iterator[None]:
    """Send datagrams over and over until left."""
    over = threading.Event()

    def send() -> None:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as out:
            out.bind(("127.0.0.1", 0))
            while not over.wait(0.01):
                for datagram in datagrams:
                    out.sendto(datagram, ("127.0.0.1", port))

    thread = threading.Thread(target=send)
    thread.start()
    try:
        yield
    finally:
        over.set()
        thread.join()


def capture(display: Path, to: Path, receiver: Receiver, seconds: float = 0.5, **how: object) -> Captured:
    options = {"open_receiver": lambda *_arguments, **_options: receiver} | how
    return capture_file(display, to, seconds, **options)  # type: ignore[arg-type]


def test_what_is_heard_is_in_the_file_and_what_is_notable_is_said(
    display: Path, tmp_path: Path, receiver: Receiver, port: int
) -> None:
    sent = [data(1, k, bytes([k])) for k in range(256)] + [data(1, 0, b"x", universe=99), b"noise"]
    to = tmp_path / "show.pcapng"
    begun = time.monotonic()
    with show(port, sent):
        captured = capture(display, to, receiver)
    lasted = time.monotonic() - begun
    assert captured.senders == ('"sender 1" (127.0.0.1)',)
    assert captured.octets == to.stat().st_size
    assert 0.5 <= captured.seconds <= lasted
    kept = [timed.datagram for timed in read(to, port)]
    assert len(kept) == captured.datagrams >= 200
    assert set(kept[:200]) <= set(sent)
    used, kept_all_the_same = [note.rpartition(":")[0] for note in captured.notes], "kept all the same"
    assert used == [
        f"Packets of universes that the display does not use, {kept_all_the_same} (universe 99)",
        f"Datagrams that are no E1.31 packets, {kept_all_the_same}",
    ]


def test_universes_of_which_nothing_is_heard_are_named(tmp_path: Path, receiver: Receiver, port: int) -> None:
    file = tmp_path / "big.json"
    file.write_text(big_display(3), encoding="utf-8")
    first, *others = universes_of(file)
    with show(port, [data(1, k, b"x", universe=first) for k in (0, 3)]):
        captured = capture(file, tmp_path / "show.pcapng", receiver)
    assert captured.notes[0] == (
        f"Universes of the display of which nothing was heard: {', '.join(map(str, others[:10]))}"
        f"{', ...' if len(others) > 10 else ''}."
    )
    assert captured.notes[1].startswith(
        "Packets of the display's universes that are missing (their senders numbered them): "
    )


def test_an_interrupt_ends_it_and_keeps_what_was_heard(
    display: Path, tmp_path: Path, receiver: Receiver, port: int
) -> None:
    def interrupt(seconds: float, datagrams: int) -> None:
        raise KeyboardInterrupt

    with show(port, [data(1, 0, b"x")]):
        captured = capture(display, tmp_path / "show.pcapng", receiver, 600.0, progress=interrupt)
    assert 0 < captured.seconds < 600
    assert len(list(read(tmp_path / "show.pcapng", port))) == captured.datagrams > 0


def test_senders_that_were_not_named_are_left_out(display: Path, tmp_path: Path, receiver: Receiver, port: int) -> None:
    with show(port, [data(1, 0, b"x")]), pytest.raises(Refusal) as caught:
        capture(display, tmp_path / "show.pcapng", receiver, 0.3, origins=["127.0.0.9"])
    # A busy machine may listen for a moment longer.
    words = r"Nothing was heard in \d\d?\.\d s, so no file was written\. See that the sender is on"
    assert re.match(words, of_error(caught.value))
    assert " Datagrams left out, of senders that --from does not name: " in of_error(caught.value)
    assert list(tmp_path.iterdir()) == []


def test_silence_is_said_and_leaves_no_file(display: Path, tmp_path: Path, receiver: Receiver) -> None:
    with pytest.raises(Refusal) as caught:
        capture(display, tmp_path / "show.pcapng", receiver, 0.4)
    assert re.sub(r"\d\d?\.\d s", "0.4 s", of_error(caught.value)) == (
        "Nothing was heard in 0.4 s, so no file was written. Only this computer was listened to; add --from multicast, or "
        "--from and the address of the sender."
    )
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_is_there_is_not_overwritten(display: Path, tmp_path: Path, receiver: Receiver) -> None:
    to = tmp_path / "show.pcapng"
    to.write_text("mine")
    with pytest.raises(Refusal, match=r"show.pcapng is there already and is not overwritten. Name another file.$"):
        capture(display, to, receiver)
    assert to.read_text() == "mine"
    with pytest.raises(Refusal, match=r"cannot be written \(No such file or directory\). Choose another place.$"):
        capture(display, tmp_path / "gone" / "show.pcapng", receiver)


def test_a_port_in_use_leaves_no_file(display: Path, tmp_path: Path, port: int) -> None:
    with pytest.raises(Refusal, match="is in use by another program"):
        capture_file(display, tmp_path / "show.pcapng", 0.5, open_receiver=partial(Receiver, port=port))
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("seconds", [0.0, -1.0, 1e9, float("nan")])
def test_a_time_out_of_range_is_said(display: Path, tmp_path: Path, seconds: float) -> None:
    with pytest.raises(Refusal, match=r"^seconds: found .*, expected more than 0 and at most 604,800\.$"):
        capture_file(display, tmp_path / "show.pcapng", seconds)


@pytest.mark.parametrize(
    ("origins", "interface", "expected"),
    [
        ((), None, Ears(False, "127.0.0.1", None, frozenset())),
        (("127.0.0.1",), None, Ears(False, "127.0.0.1", None, frozenset({"127.0.0.1"}))),
        (("10.0.0.5",), None, Ears(False, "0.0.0.0", None, frozenset({"10.0.0.5"}))),
        (("10.0.0.5",), "10.0.0.9", Ears(False, "10.0.0.9", None, frozenset({"10.0.0.5"}))),
        (("fe80::1",), None, Ears(False, "::", None, frozenset({"fe80::1"}))),
        (("multicast",), "eth1", Ears(True, None, "eth1", frozenset())),
        (("multicast", "10.0.0.5"), None, Ears(True, None, None, frozenset())),
    ],
)
def test_where_to_listen_follows_from_what_is_named(
    origins: tuple[str, ...], interface: str | None, expected: Ears
) -> None:
    assert ears(origins, interface) == expected


def test_what_names_nothing_is_said() -> None:
    with pytest.raises(Refusal) as caught:
        ears(["garden"], None)
    assert of_error(caught.value) == (
        '--from: found "garden", expected multicast or the address of a sender, such as 192.168.1.20.'
    )
    with pytest.raises(Refusal, match=r'^interface: found "eth1", expected an address of this computer, because'):
        ears([], "eth1")


def test_multicast_for_a_display_without_strings_is_said(tmp_path: Path) -> None:
    (tmp_path / "new.yaml").write_text("display: Just begun\n", encoding="utf-8")
    with pytest.raises(Refusal, match=r"^This display has no strings yet, so there is no universe to listen to\.$"):
        capture_file(tmp_path / "new.yaml", tmp_path / "show.pcapng", 1.0, ["multicast"])
