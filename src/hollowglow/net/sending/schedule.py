"""When frames are due: absolute deadlines on a clock that nobody sets, with what was missed and slept through."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

ASLEEP_S = 1.0  # a gap beyond this is told; a busy machine makes shorter ones


@dataclass(frozen=True, slots=True)
class Clock:
    """The three functions of time that sending needs, so that a test can have its own.

    Attributes:
        now_s: monotonic; setting the clock of the day does nothing to it.
        awake_and_asleep_s: the same, but counting the time that the machine slept, where the system knows it.
        sleep_s: waits for so long.
    """

    now_s: Callable[[], float] = time.monotonic
    awake_and_asleep_s: Callable[[], float] = time.monotonic
    sleep_s: Callable[[float], None] = time.sleep


def system_clock() -> Clock:
    """Return this machine's clock."""
    boot = getattr(time, "CLOCK_BOOTTIME", None)  # Linux: the monotonic clock stands still while a laptop sleeps
    return Clock() if boot is None else Clock(awake_and_asleep_s=lambda: time.clock_gettime(boot))


@dataclass(frozen=True, slots=True)
class Tick:
    """One frame's turn: its deadline, how late it came (s; negative: early), missed before it, silence before it (s)."""

    deadline_s: float
    late_s: float
    missed: int
    gap_s: float


class Schedule:
    """Deadlines start + k·period. What is missed is left out, never sent in a burst afterwards."""

    def __init__(self, clock: Clock, period_s: float) -> None:
        self._clock = clock
        self._period_s = period_s
        self._start_s = clock.now_s()
        self._number = 0
        self._whole_s = clock.awake_and_asleep_s()

    @property
    def deadline_s(self) -> float:
        """The next deadline; no rounding adds up over the frames."""
        return self._start_s + self._number * self._period_s

    def wait(self, lead_s: float = 0.0) -> Tick:
        """Wait until so long before the next deadline (s), and return the frame's turn."""
        clock = self._clock
        left = self.deadline_s - lead_s - clock.now_s()
        if left > 0.0:
            clock.sleep_s(left)
        now, whole = clock.now_s(), clock.awake_and_asleep_s()
        silent, self._whole_s = whole - self._whole_s, whole
        missed = max(0, int((now - self.deadline_s) / self._period_s))
        self._number += missed
        tick = Tick(self.deadline_s, now - self.deadline_s, missed, silent if silent > ASLEEP_S else 0.0)
        self._number += 1
        return tick
