"""What is being sent, and where, kept beside the display, so that a killed sender's lights are known at the next start.

The file is locked while its process lives. A lock ends with the process, however that ends; a process number may be
another program's by then.
"""

from __future__ import annotations

import contextlib
import json
import os
import time
import uuid
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np

from hollowglow.messages.refusal import Refusal
from hollowglow.net.hearing.streams import universes_words
from hollowglow.net.packets.packet import MOST_SLOTS, PRIORITIES, UNIVERSES
from hollowglow.net.sending.sender import Sender

FOLDER = ".hollowglow"
MOST_PLACES = 16
_SENDING, _CID = "sending.json", "cid"
# More than the 20 that a receiver may drop, ANSI E1.31-2018 clause 6.7.2.
DARK_FRAMES = 24


@dataclass(frozen=True, slots=True)
class LeftOn:
    """What a sender sends, or sent when it was killed.

    Attributes:
        what: in the person's words, such as a prop's id.
        to: as the person named the target.
        interface: own address that it is sent from, None where the system chooses.
        universes: ascending.
        source: the name that receivers show.
        priority: 0 to 200.
        since: ISO 8601, UTC.
    """

    what: str
    to: str
    interface: str | None
    universes: tuple[int, ...]
    source: str
    priority: int
    since: str

    @property
    def when(self) -> str:
        """When it began, as a person reads it."""
        return f"{self.since[:16].replace('T', ' ')} UTC"

    def words(self) -> str:
        """Return it as a sentence for a person."""
        which = universes_words(self.universes)
        return f"The run of {self.when} was cut off while {self.what} was lit at {self.to} ({which})."


def now_text() -> str:
    """Return the time as this record keeps it."""
    return datetime.now(UTC).isoformat(timespec="seconds")


def folder(display: Path | str) -> Path:
    """Return where a display's own records are kept, made if it is not there.

    Raises:
        Refusal: it cannot be made.
    """
    path = Path(os.path.realpath(display))
    place = path.parent / FOLDER / path.name
    try:
        place.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise Refusal(f"{_shown(place)} cannot be made ({error.strerror or error}), so nothing was sent.") from None
    return place


def cid_of(display: Path | str) -> bytes:
    """Return the display's own CID, 16 octets, made at random the first time (ANSI E1.31-2018 clause 5.6, RFC 4122).

    Raises:
        Refusal: it cannot be read or kept.
    """
    path = folder(display) / _CID
    try:
        with contextlib.suppress(FileExistsError), path.open("x", encoding="ascii") as stream:
            stream.write(f"{uuid.uuid4()}\n")
        return uuid.UUID(path.read_text(encoding="ascii").strip()).bytes
    except OSError as error:
        raise Refusal(f"{_shown(path)} cannot be used ({error.strerror or error}), so nothing was sent.") from None
    except ValueError:
        raise Refusal(
            f"{_shown(path)}: found no UUID in it, expected the display's own. Delete it to get a new one."
        ) from None


class Record:
    """The display's record, held by one process at a time.

    Args:
        display: path of the display file.

    Raises:
        Refusal: another process is sending for this display, or the record cannot be used.
    """

    def __init__(self, display: Path | str) -> None:
        self._path = folder(display) / _SENDING
        try:
            self._file = os.open(self._path, os.O_RDWR | os.O_CREAT | getattr(os, "O_CLOEXEC", 0), 0o644)
        except OSError as error:
            raise Refusal(
                f"{_shown(self._path)} cannot be used ({error.strerror or error}), so nothing was sent."
            ) from None
        try:
            _lock(self._file)
        except OSError:
            busy = self.left_on()
            os.close(self._file)
            what = f": {busy.what} at {busy.to} since {busy.when}" if busy is not None else ""
            raise Refusal(f"This display is being lit by another hollowglow{what}. Stop that one first.") from None

    def left_on(self) -> LeftOn | None:
        """Return what was being sent when the last run was cut off; None where it ended by itself.

        A record that was cut off in the middle of being written says nothing of use and counts as None.
        """
        return next(iter(self._all()), None)

    def begin(self, sending: LeftOn) -> None:
        """Write down what is about to be sent, before its first packet; what is still on elsewhere stays written down."""
        elsewhere = [left for left in self._all() if left.to != sending.to or left.interface != sending.interface]
        try:
            self._write([sending, *elsewhere][:MOST_PLACES])
        except OSError as error:
            raise Refusal(
                f"{_shown(self._path)} cannot be written ({error.strerror or error}), so nothing was sent."
            ) from None

    def end(self) -> None:
        """Write down that this is not being sent any more; what was left on elsewhere is then what `left_on` tells."""
        with contextlib.suppress(OSError):
            self._write(self._all()[1:])

    def _all(self) -> list[LeftOn]:
        os.lseek(self._file, 0, os.SEEK_SET)
        text = os.read(self._file, 1 << 20)
        try:
            first = json.loads(text) if text else None
            return [] if first is None else [_read(one) for one in (first, *first.get("elsewhere", ()))]
        except (ValueError, TypeError, KeyError, AttributeError):
            return []

    def _write(self, places: list[LeftOn]) -> None:
        text = b""
        if places:
            plain = asdict(places[0]) | {"elsewhere": [asdict(one) for one in places[1:]]}
            text = json.dumps(plain, ensure_ascii=False, indent=1).encode()
        os.ftruncate(self._file, 0)
        os.lseek(self._file, 0, os.SEEK_SET)
        os.write(self._file, text)
        os.fsync(self._file)

    def close(self) -> None:
        """Let another process have the record."""
        os.close(self._file)

    def __enter__(self) -> Record:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


def noticed(display: Path | str) -> LeftOn | None:
    """Return what a run that was cut off left on; nothing is made or changed.

    Raises:
        Refusal: another process is sending for this display, or the record cannot be used.
    """
    path = Path(os.path.realpath(display))
    if not (path.parent / FOLDER / path.name / _SENDING).exists():
        return None
    with Record(display) as record:
        return record.left_on()


def black_out(left: LeftOn, cid: bytes, *, yes_public: bool = False) -> None:
    """Send a blackout, and the end of the stream, to where a killed sender's was.

    Args:
        left: what was sent.
        cid: of the display.
        yes_public: whether an address outside of one's own network is meant.

    Raises:
        Refusal: nothing can be sent there.
    """
    with Sender(
        left.universes,
        left.to,
        cid=cid,
        source=left.source,
        priority=left.priority,
        interface=left.interface,
        yes_public=yes_public,
    ) as sender:
        sender.show(np.zeros((len(left.universes), MOST_SLOTS), dtype=np.uint8))
        time.sleep(0.05)
        sender.stop(dark_frames=DARK_FRAMES)
        if not sender.left_dark:
            raise Refusal("The network did not take it. Start again when it is back.")


def _read(record: Any) -> LeftOn:
    universes = tuple(int(u) for u in record["universes"])
    good = universes and list(universes) == sorted(set(universes)) and universes[0] >= UNIVERSES[0]
    priority = int(record["priority"])
    if not good or universes[-1] > UNIVERSES[1] or not PRIORITIES[0] <= priority <= PRIORITIES[1]:
        raise ValueError
    interface = record["interface"]
    return LeftOn(
        str(record["what"]),
        str(record["to"]),
        None if interface is None else str(interface),
        universes,
        str(record["source"]),
        priority,
        str(record["since"]),
    )


def _lock(file: int) -> None:
    try:
        import fcntl
    except ImportError:  # Windows: two at once are not told apart there
        return
    fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)


def _shown(path: Path) -> str:
    return "".join(c if c.isprintable() else "?" for c in str(path))
