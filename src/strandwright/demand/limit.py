"""The limiter: no frame leaves that would draw more than supplies, fuses, cables and joints of the plan may carry."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from strandwright.build import Build
from strandwright.build.tables import Floats
from strandwright.demand.addresses import FULL, Bytes
from strandwright.demand.allowed import Allowed
from strandwright.demand.bound import Bound, bound_of
from strandwright.demand.network import Demand
from strandwright.demand.quick import Quick, Rest
from strandwright.findings.words import percent
from strandwright.power import over

# How many scales are tried at once round a guess, and between two scales where the guess misses.
_ROUND_GUESS = (-3, -1, 0, 1, 3)
_BETWEEN = 6
# How surely the current that a frame would have drawn is known when it is told; what leaves is certain all the same.
_TOLD = 0.01


@dataclass(frozen=True)
class Limited:
    """What the limiter did to a frame.

    Attributes:
        scale: share of the asked slot values that is left, 1 where nothing was done.
        limits: id of the supply, fuse, cable or joint that would have been passed the most, empty where none.
        asked_a: current that it would have carried, A; NaN where the frame has no steady state.
        allowed_a: current that it may carry, A.
        solved: whether the bound was not enough, and the network was solved.
        holds: whether the frame that leaves holds every limit; false where even a dark one does not.
        words: all of this as a person reads it, empty where nothing was done.
    """

    scale: float = 1.0
    limits: str = ""
    asked_a: float = 0.0
    allowed_a: float = 0.0
    solved: bool = False
    holds: bool = True
    words: str = ""


@dataclass
class Limiter:
    """Scales frames down to what a display may draw; `last` tells what it did to the last one."""

    demand: Demand
    allowed: Allowed
    bound: Bound | None
    last: Limited = field(default_factory=Limited)
    _quick: Quick | None = None
    _asked: Rest | None = None
    _left: Rest | None = None
    _scale: int = FULL
    _certain_scale: int = FULL

    @classmethod
    def of(cls, build: Build) -> Limiter:
        """Return the limiter of a Build."""
        demand = Demand.of(build)
        made = cls(demand, Allowed.of(demand), bound_of(demand))
        if Quick.possible(demand):
            made._quick = Quick(demand)
            made._asked, made._left = made._quick.rest(), made._quick.rest()
        return made

    def __call__(self, frame: Bytes) -> Bytes:
        """Return the frame with all slots scaled alike and rounded down, by the largest n/255 that holds.

        Args:
            frame: slots, shape (U, 512).
        """
        self.last = Limited()
        if self.bound is not None and self._surely(frame):
            return frame
        return self._scaled(frame)

    def _surely(self, frame: Bytes) -> bool:
        return self.bound is not None and not over(self.bound.currents(frame), self.allowed.current_a).any()

    def _scaled(self, frame: Bytes) -> Bytes:
        low = self._certain(frame)
        if self.bound is not None and low >= 0 and self._surely_over(at_scale(frame, low + 1)):
            return self._bounded(frame, low)
        made = self._quickly(frame, low)
        if made is not None:
            return made
        asked = self.demand.solve(frame[None], near=True)
        if not self.allowed.passed(asked).any():
            self.last = Limited(solved=True)
            return frame
        currents = self.allowed.currents(asked)[0]
        ratio = np.where(np.isfinite(currents), currents, np.inf) / np.maximum(self.allowed.current_a, 1e-12)
        worst = int(np.argmax(ratio))
        guess = int(FULL / ratio[worst] ** (1.0 / float(self.demand.addresses.node_gamma.max())))
        best = self._search(frame, low, guess)
        made = at_scale(frame, max(best, 0))
        self.last = self._told(best, worst, float(currents[worst]), steady=not bool(asked.doubtful[0]))
        return made

    def _quickly(self, frame: Bytes, low: int) -> Bytes | None:
        """Return the frame scaled with certain brackets of its currents; None where there are none that decide."""
        quick, allowed_a = self._quick, self.allowed.current_a
        if quick is None or self._asked is None or self._left is None or low < 0:
            return None

        def told(least: Floats, most: Floats) -> bool:
            close = most.max() - least.max() < _TOLD * most.max()
            return not over(most, allowed_a).any() or bool(over(least, allowed_a).any() and close)

        def decided(least: Floats, most: Floats) -> bool:
            return not over(most, allowed_a).any() or bool(over(least, allowed_a).any())

        pair = quick.bracket(frame, self._asked, told)
        if pair is None:
            return None
        if not over(pair[1], allowed_a).any():
            self.last = Limited(solved=True)
            return frame
        asked_a = 0.5 * (pair[0] + pair[1])
        high, trial = FULL, self._scale
        tries = 0
        while high - low > 1:
            trial = min(max(trial, low + 1), high - 1)
            pair = quick.bracket(at_scale(frame, trial), self._left, decided)
            if pair is None:
                return None
            passed = bool(over(pair[1], allowed_a).any())
            low, high = (low, trial) if passed else (trial, high)
            tries += 1
            # First the last frame's scale and its neighbour, then by how far it is off, then by halves.
            if tries == 2:
                share = float((0.5 * (pair[0] + pair[1]) / np.maximum(allowed_a, 1e-12)).max())
                trial = int(trial / max(share, 1e-6))
            else:
                trial = trial + (-1 if passed else 1) if tries == 1 else (low + high) // 2
        self._scale = low
        worst = int(np.argmax(asked_a / np.maximum(allowed_a, 1e-12)))
        self.last = self._told(low, worst, float(asked_a[worst]), steady=True)
        return at_scale(frame, low)

    def _surely_over(self, frame: Bytes) -> bool:
        assert self.bound is not None
        return bool(over(self.bound.at_least(frame), self.allowed.current_a).any())

    def _bounded(self, frame: Bytes, low: int) -> Bytes:
        """Return the frame at a scale of which the bounds alone say that it holds and the next does not."""
        assert self.bound is not None
        currents = self.bound.currents(frame)
        worst = int(np.argmax(currents / np.maximum(self.allowed.current_a, 1e-12)))
        self.last = replace(self._told(low, worst, float(currents[worst]), steady=True), solved=False)
        return at_scale(frame, low)

    def _certain(self, frame: Bytes) -> int:
        """Return the largest n of n/255 that the bound lets pass, -1 where it lets none."""
        if self.bound is None or not self._surely(at_scale(frame, 0)):
            return -1
        # The last frame's is tried first, then steps from it that double: frames of a show are alike.
        low, high, step = 0, FULL, 1
        trial = min(max(self._certain_scale, 1), FULL - 1)
        while high - low > 1:
            if self._surely(at_scale(frame, trial)):
                low, trial = trial, trial + step
            else:
                high, trial = trial, trial - step
            if not low < trial < high:
                trial, step = (low + high) // 2, FULL
            step *= 2
        self._certain_scale = low
        return low

    def _search(self, frame: Bytes, low: int, guess: int) -> int:
        """Return the largest n that the solved network lets pass, from one that surely passes; -1 where none does."""
        high = FULL
        tried = [guess + by for by in _ROUND_GUESS]
        while high - low > 1:
            steps = sorted({n for n in tried if low < n < high})
            if steps:
                drawn = self.demand.solve(np.stack([at_scale(frame, n) for n in steps]), near=True)
                fine: list[bool] = (~np.any(self.allowed.passed(drawn), axis=1)).tolist()
                held = [n for n, ok in zip(steps, fine, strict=True) if ok]
                low = max([low, *held])
                high = min([high, *(n for n, ok in zip(steps, fine, strict=True) if not ok and n > low)])
            gap = max(1, -(-(high - low) // _BETWEEN))
            tried = list(range(low + gap, high, gap))
        return low

    def _told(self, best: int, worst: int, current_a: float, *, steady: bool) -> Limited:
        allowed = self.allowed
        cause = (
            allowed.words(worst, current_a)
            if steady
            else "its switching drivers ask for more than a string can carry for sure: its voltage may collapse"
        )
        scale = max(best, 0) / FULL
        words = f"Scaled to {percent(scale)}: {cause}."
        if best < 0:
            words = f"All slots set to zero, and a limit is still passed: {cause}."
        return Limited(
            scale=scale,
            limits=allowed.names[worst] if steady else "",
            asked_a=current_a if steady else float("nan"),
            allowed_a=float(allowed.current_a[worst]),
            solved=True,
            holds=best >= 0,
            words=words,
        )


def at_scale(frame: Bytes, n: int) -> Bytes:
    """Return a frame with every slot at n/255 of its value, rounded down."""
    return np.asarray(frame.astype(np.uint16) * n // FULL, dtype=np.uint8)
