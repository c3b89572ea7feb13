"""One thread that sends frames on absolute deadlines, and ends every stream so that receivers know it."""

from __future__ import annotations

import atexit
import contextlib
import os
import statistics
import sys
import threading
from collections import deque
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from types import TracebackType

import numpy as np

from hollowglow.messages.refusal import Refusal
from hollowglow.net.addresses import check_interface, target
from hollowglow.net.packets.packet import DEFAULT_PRIORITY, DISCOVERY_UNIVERSE, MOST_SLOTS, PRIORITY_AT, fitting_name
from hollowglow.net.packets.stream import DISCOVERY_S, TERMINATIONS, Frame, Rows, SentStream
from hollowglow.net.sending.ending import ending_signals
from hollowglow.net.sending.outlet import Outlet
from hollowglow.net.sending.refusals import failing_words, refused_words
from hollowglow.net.sending.schedule import Clock, Schedule, system_clock

RATE_HZ = 40.0  # within 44.1 Hz, the fastest refresh of ANSI E1.11 with 512 slots
RATES_HZ = (10.0, 1000.0)  # slower ones could not keep to the 800 to 1000 ms of an unchanged universe
_TURN_S = 0.0002  # how long another Python thread may go on when a frame is due
_PATIENCE_S = 2.0
_RETRY_S = 1.0
_NO_MORE_S = DISCOVERY_S + 5.0  # what asks is sent every 10 s; a missing neighbour is reported after 3 s or so
# Not with every frame: each time it is asked, a program that computes meanwhile may keep the sender waiting.
_ASK_EVERY_S = 0.1
_KEPT = 1 << 13
_LASTED_KEPT = 32
_MOST_LEAD = 0.25  # of the time between frames

Limit = Callable[[Frame], Frame]
Say = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class SenderStatistics:
    """What was sent so far.

    Attributes:
        frames: frames whose turn came.
        missed: frames left out because their turn had passed.
        packets: data packets sent.
        failed: frames of which something could not be sent.
        begun_late_s: how long after its deadline each of the last frames began to leave, negative where before, (n,).
        gone_late_s: the same for its last packet, shape (n,).
        events: what was told, the oldest first.
    """

    frames: int
    missed: int
    packets: int
    failed: int
    begun_late_s: np.ndarray[tuple[int], np.dtype[np.float64]]
    gone_late_s: np.ndarray[tuple[int], np.dtype[np.float64]]
    events: tuple[str, ...]


class Sender:
    """Sends frames of some universes over ANSI E1.31-2018 until it is stopped.

    Nothing is sent before the first frame is shown. At a stop, the end of a `with` block and the end of the process
    (kill -9 aside) receivers get a dark frame and three packets that end the stream.

    Args:
        universes: ascending; row k of a frame is for `universes[k]`.
        to: "multicast", or a host with or without a port.
        cid: 16 octets that stay this display's own.
        source: name that receivers show; cut to 63 octets.
        priority: 0 to 200; receivers take the highest.
        rate_hz: frames a second.
        limit: what each frame goes through first.
        sync_address: universe of synchronization packets after each frame; 0 for none.
        force_sync: whether receivers may go on without synchronization once it is lost.
        preview: whether the data are for looking at only.
        yes_public: whether an address outside of one's own network is meant.
        interface: own address to send from; the system chooses where None.
        say: told, from the sending thread, when the network goes and comes back, and after the machine slept.
        clock: the time; a test has its own.

    Raises:
        Refusal: nothing can be sent there, or not without `yes_public`.
        ValueError: for what the standard has no room for.
    """

    def __init__(
        self,
        universes: Sequence[int],
        to: str,
        *,
        cid: bytes,
        source: str,
        priority: int = DEFAULT_PRIORITY,
        rate_hz: float = RATE_HZ,
        limit: Limit | None = None,
        sync_address: int = 0,
        force_sync: bool = False,
        preview: bool = False,
        yes_public: bool = False,
        interface: str | None = None,
        say: Say | None = None,
        clock: Clock | None = None,
    ) -> None:
        if not RATES_HZ[0] <= rate_hz <= RATES_HZ[1]:
            raise ValueError(f"rate {rate_hz:g} Hz: {RATES_HZ[0]:g} to {RATES_HZ[1]:g} Hz are possible")
        self._stream = SentStream(
            universes,
            cid=cid,
            source=fitting_name(source),
            priority=priority,
            sync_address=sync_address,
            force_sync=force_sync,
            preview=preview,
        )
        where = target(to, yes_public)
        own = None if interface is None else check_interface(interface)
        self._outlet = Outlet(where, self._stream.universes, self._stream.table, own)
        self._period_s = 1.0 / rate_hz
        self._limit, self._say = limit, say
        self._clock = clock or system_clock()
        self._frame: Frame | None = None
        self._tried: Frame | None = None
        self._thread: threading.Thread | None = None
        self._lock = threading.Lock()
        self._stopping, self._over = threading.Event(), threading.Event()
        self._dark_frames = 1
        self._closed = False
        self._left_dark = True
        self._fault: BaseException | None = None
        self._failing_since_s: float | None = None
        self._reopen_s = self._refused_s = self._ask_s = 0.0
        self._any_left = False
        self._frames = self._missed = self._packets = self._failed = 0
        self._begun: deque[float] = deque(maxlen=_KEPT)
        self._gone: deque[float] = deque(maxlen=_KEPT)
        self._lasted: deque[float] = deque(maxlen=_LASTED_KEPT)
        self._events: deque[str] = deque(maxlen=100)
        self._signals = contextlib.ExitStack()

    @property
    def universes(self) -> tuple[int, ...]:
        """The universes that frames are for."""
        return self._stream.universes

    @property
    def priority(self) -> int:
        """The priority that receivers see."""
        return int(self._stream.table[0, PRIORITY_AT])

    @property
    def left_dark(self) -> bool:
        """Whether nothing was ever shown, or the end of the stream has left this computer."""
        return self._left_dark

    @property
    def has_sent(self) -> bool:
        """Whether the frame shown last has had its turn to leave, or none will have any more."""
        return self._tried is self._frame or self._stopping.is_set() or self._fault is not None

    @property
    def any_left(self) -> bool:
        """Whether anything ever left this computer."""
        return self._any_left

    def first_frame(self, wait_s: float = 1.0) -> bool:
        """Wait for the first frame's turn, and return whether all of it left this computer."""
        until = self._clock.now_s() + wait_s
        while not self._frames and self._thread is not None and self._clock.now_s() < until:
            self._clock.sleep_s(0.005)
        return bool(self._frames) and self._failing_since_s is None

    def show(self, frame: Frame) -> Frame:
        """Send a frame from now on, and return it as it goes out after the limit.

        Args:
            frame: uint8, shape (universes, 512); it is copied.

        Raises:
            Refusal: the sender was stopped, or has failed.
            ValueError: the frame has another shape or type.
        """
        shape = (len(self.universes), MOST_SLOTS)
        if frame.shape != shape or frame.dtype != np.uint8:
            raise ValueError(f"a frame is uint8 of shape {shape}, not {frame.dtype} of shape {frame.shape}")
        if self._fault is not None:
            raise Refusal(f"Sending has stopped ({self._fault}). Start it again.") from self._fault
        limited = frame if self._limit is None else self._limit(frame)
        if limited.shape != shape or limited.dtype != np.uint8:
            raise ValueError(f"the limit returned {limited.dtype} of shape {limited.shape}")
        with self._lock:
            if self._stopping.is_set():
                raise Refusal("Sending has stopped. Start it again.")
            self._frame = limited.copy()
            if self._thread is None:
                self._start()
        return self._frame

    def stop(self, dark_frames: int = 1) -> None:
        """Send dark frames and three packets that end the stream, and close; stopping twice does nothing.

        Args:
            dark_frames: how many; receivers that remember a former run's sequence number may drop the first twenty.
        """
        with self._lock:
            self._dark_frames = dark_frames
            self._stopping.set()
            thread = self._thread
        if thread is not None and thread is not threading.current_thread():
            _waited(self._over)
        self._thread = None
        closed, self._closed = self._closed, True
        if not closed:
            atexit.unregister(self.stop)
            self._outlet.close()

    def statistics(self) -> SenderStatistics:
        """Return what was sent so far."""
        return SenderStatistics(
            self._frames,
            self._missed,
            self._packets,
            self._failed,
            np.array(self._begun.copy(), dtype=np.float64),
            np.array(self._gone.copy(), dtype=np.float64),
            tuple(self._events.copy()),
        )

    def __enter__(self) -> Sender:
        self._signals.enter_context(ending_signals())
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        with self._signals:
            self.stop()

    def _start(self) -> None:
        # A daemon, so that a caller that falls over is not waited for; atexit runs while daemons still do.
        self._thread = threading.Thread(target=self._run, name="hollowglow sender", daemon=True)
        self._left_dark = False
        atexit.register(self.stop)
        self._thread.start()

    def _run(self) -> None:
        _ask_for_first_turn()
        with _short_turns():
            try:
                self._send_until_stopped()
            except BaseException as error:
                self._fault = error
                self._tell(f"Sending stopped: {type(error).__name__}: {error}")
            finally:
                self._say_goodbye()
                self._over.set()

    def _send_until_stopped(self) -> None:
        stream, clock, now_s = self._stream, self._clock, self._clock.now_s
        schedule = Schedule(clock, self._period_s)
        while not self._stopping.is_set():
            tick = schedule.wait(self._lead_s())
            if tick.gap_s:
                self._tell(
                    f"Nothing was sent for {tick.gap_s:.1f} s: this computer slept or was too busy. Sending again."
                )
            frame = self._frame
            if frame is None or self._stopping.is_set():
                continue
            rows = stream.due(frame, tick.deadline_s)
            begun = now_s()
            if not self._send(rows, stream.discovery_due(tick.deadline_s)):
                stream.again(rows)
            self._hear_refusals(tick.deadline_s)
            self._frames += 1
            self._missed += tick.missed
            self._packets += len(rows)
            self._tried = frame
            self._begun.append(begun - tick.deadline_s)
            gone = now_s()
            self._gone.append(gone - tick.deadline_s)
            if len(rows):
                self._lasted.append(gone - begun)

    def _lead_s(self) -> float:
        """Return how long before its deadline a frame begins to leave, so that its packets lie around it."""
        return min(statistics.median(self._lasted) / 2.0, self._period_s * _MOST_LEAD) if self._lasted else 0.0

    def _say_goodbye(self) -> None:
        for number in range(self._dark_frames + TERMINATIONS):
            if number:
                self._clock.sleep_s(min(self._period_s, 0.025))
            with contextlib.suppress(Exception):
                self._left_dark = self._send(self._stream.last(terminated=number >= self._dark_frames), ())

    def _send(self, rows: Rows, pages: tuple[bytes, ...]) -> bool:
        try:
            left, failed = self._outlet.send_rows(rows)
            self._any_left = self._any_left or left > 0
            if failed is not None:
                raise failed
            packet = self._stream.sync() if len(rows) else b""
            if packet:
                self._outlet.send(packet, self._stream.sync_address)
            for page in pages:
                self._outlet.ask(page, DISCOVERY_UNIVERSE)
        except OSError as error:
            self._went(error)
            return False
        if self._failing_since_s is not None and (len(rows) or pages):
            lasted = self._clock.now_s() - self._failing_since_s
            self._failing_since_s = None
            self._tell(f"Sending to {self._outlet.target.named} works again after {lasted:.1f} s.")
        return True

    def _went(self, error: OSError) -> None:
        self._failed += 1
        now = self._clock.now_s()
        if self._failing_since_s is None:
            self._failing_since_s, self._reopen_s = now, now + _RETRY_S
            self._tell(failing_words(self._outlet.target.named, error))
        elif now >= self._reopen_s:
            self._reopen_s = now + _RETRY_S
            with contextlib.suppress(OSError, Refusal):
                self._outlet.reopen()

    def _hear_refusals(self, now_s: float) -> None:
        """Tell where nobody takes what is sent, as far as the network says so; sending goes on."""
        if now_s < self._ask_s:
            return
        self._ask_s = now_s + _ASK_EVERY_S
        code = self._outlet.refused()
        named = self._outlet.target.named
        if code:
            if not self._refused_s:
                self._tell(refused_words(named, code))
            self._refused_s = now_s
        elif self._refused_s and now_s - self._refused_s > _NO_MORE_S:
            self._refused_s = 0.0
            self._tell(f"Nothing comes back any more of what is sent to {named}: it seems to be taken now.")

    def _tell(self, words: str) -> None:
        self._events.append(words)
        if self._say is not None:
            with contextlib.suppress(Exception):
                self._say(words)


def _waited(over: threading.Event) -> None:
    """Wait for the last packets, also where a second Ctrl-C comes meanwhile.

    A thread that is joined counts as ended once its join was interrupted (Python 3.11), so an event tells.
    """
    interrupted: BaseException | None = None
    for _ in range(3):
        try:
            over.wait(_PATIENCE_S)
            break
        except (KeyboardInterrupt, SystemExit) as error:
            interrupted = error
    if interrupted is not None:
        raise interrupted


def _ask_for_first_turn() -> None:
    """Have this thread woken before other programs where the system lets it; it needs a few hundredths of a core."""
    if sys.platform.startswith("linux"):
        with contextlib.suppress(OSError):
            os.sched_setscheduler(0, os.SCHED_RR, os.sched_param(1))


@contextlib.contextmanager
def _short_turns() -> Iterator[None]:
    """Have other Python threads give way sooner than after the usual 5 ms while frames are due."""
    usual = sys.getswitchinterval()
    sys.setswitchinterval(min(usual, _TURN_S))
    try:
        yield
    finally:
        sys.setswitchinterval(usual)
