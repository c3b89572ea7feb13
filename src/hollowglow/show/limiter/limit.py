"""The limiter: no frame leaves that would draw more than supplies, fuses, cables, joints and mains circuits may carry."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import partial

import numpy as np

from hollowglow.analysis.circuit.power import over
from hollowglow.assembly import Assembly
from hollowglow.assembly.tables import Floats
from hollowglow.quantity.words import percent
from hollowglow.show.demand.addresses import FULL, Bytes
from hollowglow.show.demand.allowed import Allowed
from hollowglow.show.demand.network import Demand
from hollowglow.show.limiter.bound import Bound, bound_of
from hollowglow.show.limiter.quick import LastRest, Quick
from hollowglow.show.limiter.squeeze import Squeeze

# How many scales are tried at once round a guess, and between two scales where the guess misses.
_ROUND_GUESS = (-3, -1, 0, 1, 3)
_BETWEEN = 6
# How surely the current that a frame would have drawn is known when it is told; what leaves is certain all the same.
_TOLD = 0.01
_BY_SECANTS = 8

_Enough = Callable[[Floats, Floats], bool]
_Bracket = Callable[[Bytes, _Enough], tuple[Floats, Floats] | None]


@dataclass(frozen=True)
class LimitedFrame:
    """What the limiter did to a frame.

    Attributes:
        scale: share of the asked slot values that is left, 1 where nothing was done.
        limits: id of the supply, fuse, cable, joint or mains circuit that would have been passed the most, empty where none.
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
    _bracket: _Bracket | None = None
    _asked: _Bracket | None = None
    _last: LimitedFrame = field(default_factory=LimitedFrame)
    _untold: tuple[Bytes, int] | None = None
    _beyond: float = 1.0
    _dark_a: Floats | None = None
    # Whether bounds lie so far apart that looking for the scale that they let pass is not worth while: drivers' do.
    _far_bounds: bool = False

    @classmethod
    def of(cls, assembly: Assembly) -> Limiter:
        """Return the limiter of an Assembly."""
        demand = Demand.of(assembly)
        made = cls(demand, Allowed.of(demand), bound_of(demand))
        if Quick.possible(demand):
            quick = Quick(demand)
            made._bracket, made._asked = (partial(_from, quick, quick.rest()) for _ in range(2))
        elif made.bound is not None and Squeeze.possible(demand, made.bound):
            made._bracket = made._asked = Squeeze(demand, made.bound).bracket
            made._far_bounds = True
        if made.bound is not None:
            made._dark_a = made.bound.currents(demand.addresses.dark())
        return made

    @property
    def last(self) -> LimitedFrame:
        """What was done to the last frame; what it would have drawn is worked out when this is asked for."""
        if self._untold is not None:
            frame, scale = self._untold
            self._untold = None
            self._last = self._told_of(frame, scale)
        return self._last

    def __call__(self, frame: Bytes) -> Bytes:
        """Return the frame with all slots scaled alike and rounded down, by the largest n/255 that holds.

        Args:
            frame: slots, shape (U, 512).
        """
        self._last, self._untold = LimitedFrame(), None
        if self.bound is None:
            return self._scaled(frame, -1)
        most_a = self.bound.currents(frame)
        if not over(most_a, self.allowed.current_a).any():
            return frame
        estimate = self._estimate(most_a)
        if self._far_bounds and estimate >= 0:
            made = self._quickly(frame, 0, estimate)
            if made is not None:
                return made
        return self._scaled(frame, self._certain(frame, estimate))

    def _surely(self, frame: Bytes) -> bool:
        return self.bound is not None and not over(self.bound.currents(frame), self.allowed.current_a).any()

    def _scaled(self, frame: Bytes, low: int) -> Bytes:
        if self.bound is not None and low >= 0 and self._surely_over(at_scale(frame, low + 1)):
            return self._bounded(frame, low)
        made = None if self._far_bounds else self._quickly(frame, low, low)
        if made is not None:
            return made
        asked = self.demand.solve(frame[None], near=True)
        if not self.allowed.passed(asked).any():
            self._last = LimitedFrame(solved=True)
            return frame
        currents = self.allowed.currents(asked)[0]
        ratio = np.where(np.isfinite(currents), currents, np.inf) / np.maximum(self.allowed.current_a, 1e-12)
        worst = int(np.argmax(ratio))
        guess = int(FULL / ratio[worst] ** (1.0 / self._gamma))
        best = self._search(frame, low, guess)
        made = at_scale(frame, max(best, 0))
        self._last = self._told(best, worst, float(currents[worst]), steady=not bool(asked.doubtful[0]))
        return made

    @property
    def _gamma(self) -> float:
        return float(self.demand.addresses.node_gamma.max())

    def _quickly(self, frame: Bytes, low: int, first: int) -> Bytes | None:
        """Return the frame scaled with certain brackets of its currents; None where there are none that decide.

        Args:
            frame: slots, shape (U, 512).
            low: a scale n of n/255 that surely holds, -1 where there is none.
            first: the scale that the bound suggests; what is tried first lies beyond it as in the last frame.
        """
        bracket, allowed_a = self._bracket, np.maximum(self.allowed.current_a, 1e-12)
        if bracket is None or low < 0:
            return None

        def decided(least: Floats, most: Floats) -> bool:
            return not over(most, allowed_a).any() or bool(over(least, allowed_a).any())

        high = FULL + 1
        # The last frame's scale lay so far beyond what its bound suggested: frames of a show are alike in that.
        trial = round(max(first, 1) * self._beyond)
        tried: list[tuple[int, float]] = []
        while high - low > 1:
            trial = min(max(trial, low + 1), high - 1)
            pair = bracket(at_scale(frame, trial), decided)
            if pair is None:
                return None
            passed = bool(over(pair[1], allowed_a).any())
            low, high = (low, trial) if passed else (trial, high)
            tried.append((trial, float((0.5 * (pair[0] + pair[1]) / allowed_a).max())))
            trial = _next(tried) if len(tried) < _BY_SECANTS else (low + high) // 2
        self._beyond = low / max(first, 1)
        self._untold = (frame.copy(), low) if low < FULL else None
        self._last = LimitedFrame(solved=True)
        return at_scale(frame, low)

    def _told_of(self, frame: Bytes, scale: int) -> LimitedFrame:
        """Return what is told of a frame that was scaled after its brackets: what it would have drawn, to a hundredth."""
        assert self._asked is not None

        def told(least: Floats, most: Floats) -> bool:
            return bool(most.max() - least.max() < _TOLD * most.max())

        pair = self._asked(frame, told) or (self.allowed.currents(self.demand.solve(frame[None]))[0],) * 2
        currents = 0.5 * (pair[0] + pair[1])
        worst = int(np.argmax(currents / np.maximum(self.allowed.current_a, 1e-12)))
        return self._told(scale, worst, float(currents[worst]), steady=True)

    def _surely_over(self, frame: Bytes) -> bool:
        assert self.bound is not None
        return bool(over(self.bound.at_least(frame), self.allowed.current_a).any())

    def _bounded(self, frame: Bytes, low: int) -> Bytes:
        """Return the frame at a scale of which the bounds alone say that it holds and the next does not."""
        assert self.bound is not None
        currents = self.bound.currents(frame)
        worst = int(np.argmax(currents / np.maximum(self.allowed.current_a, 1e-12)))
        self._last = replace(self._told(low, worst, float(currents[worst]), steady=True), solved=False)
        return at_scale(frame, low)

    def _estimate(self, most_a: Floats) -> int:
        """Return about the largest n of n/255 that the bound lets pass, 1 to 254; -1 where it lets not even darkness.

        Args:
            most_a: the bound of the frame's currents, A, shape (limits,).
        """
        dark_a = self._dark_a if self._dark_a is not None else most_a
        allowed_a = self.allowed.current_a
        if over(dark_a, allowed_a).any():
            return -1
        rise_a = most_a - dark_a
        share = np.divide(allowed_a - dark_a, rise_a, out=np.ones_like(rise_a), where=rise_a > 0.0)
        return min(max(int(FULL * max(float(share.min()), 0.0) ** (1.0 / self._gamma)), 1), FULL - 1)

    def _certain(self, frame: Bytes, trial: int) -> int:
        """Return the largest n of n/255 that the bound lets pass, -1 where it lets none.

        Args:
            frame: slots, shape (U, 512).
            trial: about this; -1 where there is none.
        """
        if trial < 0:
            return -1
        # Slots are rounded down, so that a little more than the estimate may pass: from there steps that double.
        low, high, step = 0, FULL, 1
        while high - low > 1:
            if self._surely(at_scale(frame, trial)):
                low, trial = trial, trial + step
            else:
                high, trial = trial, trial - step
            if not low < trial < high:
                trial, step = (low + high) // 2, FULL
            step *= 2
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

    def _told(self, best: int, worst: int, current_a: float, *, steady: bool) -> LimitedFrame:
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
        return LimitedFrame(
            scale=scale,
            limits=allowed.names[worst] if steady else "",
            asked_a=current_a if steady else float("nan"),
            allowed_a=float(allowed.current_a[worst]),
            solved=True,
            holds=best >= 0,
            words=words,
        )


def _from(quick: Quick, rest: LastRest, frame: Bytes, enough: _Enough) -> tuple[Floats, Floats] | None:
    return quick.bracket(frame, rest, enough)


def _next(tried: list[tuple[int, float]]) -> int:
    """Return the scale to try after some (scale, share of what is allowed): by secants, at least a step onwards."""
    at, share = tried[-1]
    slope = share / at
    if len(tried) > 1 and tried[-2][0] != at:
        risen = (share - tried[-2][1]) / (at - tried[-2][0])
        slope = risen if risen > 0.0 else slope
    found = int(np.floor(at + (1.0 - share) / max(slope, 1e-9)))
    return max(found, at + 1) if share <= 1.0 else min(found, at - 1)


def at_scale(frame: Bytes, n: int) -> Bytes:
    """Return a frame with every slot at n/255 of its value, rounded down."""
    return np.asarray(frame.astype(np.uint16) * n // FULL, dtype=np.uint8)
