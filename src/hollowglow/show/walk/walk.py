"""A walk as a state without clock or socket: where it stands, what is lit now, and what an answer becomes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from hollowglow.measured.readings import Answered
from hollowglow.messages.refusal import Job, Refusal
from hollowglow.show.walk import order
from hollowglow.show.walk.colours import COLUMNS, Colours, look
from hollowglow.show.walk.counting import number_of
from hollowglow.show.walk.steps import SORTS, Sort, WalkStep, find, route

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hollowglow.show.walk.layout import Layout

LIT, DARK, WRONG, FLICKERS, DIM, DISORDER = "lit", "dark", "wrong colour", "flickers", "dim", "out of order"
ANSWERS = (LIT, DARK, WRONG, FLICKERS, DIM, DISORDER)


@dataclass(frozen=True)
class Walk:
    """Where a walk stands; every move gives a new one.

    Attributes:
        layout: of the display.
        steps: the route.
        at: which step of the route is next or shown.
        aside: a step off the route that was jumped to, shown instead.
        since_s: when the step began, on the caller's clock.
        held: everything is dark until the next move.
        started: a full-load trial runs only after it was asked for.
        percent: brightness of every step but the trials.
        ended: there is no further step.
    """

    layout: Layout
    steps: tuple[WalkStep, ...]
    at: int = 0
    aside: WalkStep | None = None
    since_s: float = 0.0
    held: bool = False
    started: bool = False
    percent: float = 100.0
    ended: bool = False

    @classmethod
    def of(cls, layout: Layout, only: Sort | None = None, percent: float = 100.0) -> Walk:
        """Return a walk at its first step.

        Raises:
            Refusal: there is nothing to walk.
        """
        steps = route(layout, only)
        if not steps:
            what = "a string" if only is None else f'something for the step "{only}"'
            raise Refusal(f"This display has nothing to walk, expected {what}. ", Job("check"), " says what it lacks.")
        return cls(layout, steps, percent=percent)

    @property
    def step(self) -> WalkStep:
        """Return the step that is shown."""
        return self.aside or self.steps[self.at]

    def colours(self, at_s: float) -> Colours:
        """Return the colours of all cells at a time on the caller's clock, shape (cells, 4)."""
        if self.dark:
            return np.zeros((self.layout.cells, COLUMNS), np.uint8)
        return look(self.layout, self.step, at_s - self.since_s, self.percent)

    @property
    def dark(self) -> bool:
        """Return whether nothing is lit now."""
        return self.held or self.ended or (self.step.sort == "load" and not self.started)

    def next(self, at_s: float) -> Walk:
        """Return the walk one step on, or where it left the route; after the last step it has ended."""
        if self.aside is not None:
            return self._moved(at_s)
        if self.at + 1 >= len(self.steps):
            return replace(self._moved(at_s), ended=True)
        return replace(self._moved(at_s), at=self.at + 1)

    def back(self, at_s: float) -> Walk:
        """Return the walk one step back, or where it left the route."""
        return replace(self._moved(at_s), at=self.at if self.aside is not None else max(0, self.at - 1))

    def jump(self, text: str, at_s: float) -> Walk:
        """Return the walk at a step named by an id, or by a sort of step and an id.

        Raises:
            Refusal: nothing has this name.
        """
        step = find(self.layout, text)
        if step in self.steps:
            return replace(self._moved(at_s), at=self.steps.index(step))
        return replace(self._moved(at_s), aside=step)

    def resumed(self, step_id: str | None, at_s: float) -> Walk:
        """Return the walk at the step where the last one stood; as it is where the route has no such step."""
        at = next((i for i, step in enumerate(self.steps) if step.id == step_id), None)
        return self if at is None else replace(self._moved(at_s), at=at)

    def start(self, at_s: float) -> Walk:
        """Return the walk with the full-load trial begun, or with what was held dark lit again."""
        return replace(self, started=True, held=False, since_s=at_s)

    def stop(self) -> Walk:
        """Return the walk with everything dark until the next move; a trial has to be started anew."""
        return replace(self, held=True, started=False)

    def _moved(self, at_s: float) -> Walk:
        return replace(self, aside=None, since_s=at_s, held=False, started=False, ended=False)

    def answer(self, answer: str, made_id: str, at: str, seen: str = "", note: str = "") -> Answered:
        """Return an answer to the step that is shown.

        Args:
            answer: one of `ANSWERS`.
            made_id: the client's own id of it.
            at: time, ISO 8601 in UTC.
            seen: colours seen in a colour check; they decide between lit and wrong colour.
            note: anything more.

        Raises:
            Refusal: an answer that is not known, or no colours.
        """
        if answer not in ANSWERS:
            raise Refusal(
                f'The answer: found "{answer[:40]}", expected one of {", ".join(ANSWERS)}. Choose one of them.'
            )
        letters = ""
        if self.step.sort == "order" and seen:
            letters = order.parse_seen(seen)
            answer = LIT if letters == order.STATED else DARK if letters == "----" else WRONG
        return Answered(made_id, at, self.step.sort, self.step.target, answer, letters, note.strip())

    def read_code(self, seen: str) -> str:
        """Return which prop told its number so, in words.

        Raises:
            Refusal: no code, or a number that no prop of this string has.
        """
        number = number_of(seen)
        if not 1 <= number <= len(self.step.props):
            raise Refusal(
                f"The code you read: found the number {number}, expected 1 to {len(self.step.props)} on this string. "
                "Wait for the white start mark and read it once more."
            )
        return f"{seen} is prop {number}: {self.layout.props[self.step.props[number - 1]].id}"


def open_answers(answers: Sequence[Answered]) -> tuple[Answered, ...]:
    """Return the answers that still stand for a fault, the oldest first.

    Of the answers to one sort of step at one target only the newest counts. A lit target is no longer dark, dim or
    flickering whatever step it was lit in; a wrong colour or order is closed only by the sort of step that showed it.

    Args:
        answers: the oldest first.
    """
    standing: dict[tuple[str, str], Answered] = {}
    for one in answers:
        standing.pop((one.step, one.target), None)
        if one.answer == LIT:
            for key, earlier in list(standing.items()):
                if key[1] == one.target and earlier.answer in (DARK, DIM, FLICKERS) and _same_thing(key[0], one.step):
                    del standing[key]
        else:
            standing[one.step, one.target] = one
    return tuple(standing.values())


def _same_thing(one: str, other: str) -> bool:
    """Return whether two sorts of step can name one target: a supply may have the name of a string."""
    return (one == "load") == (other == "load")


__all__ = ["ANSWERS", "SORTS", "Walk", "open_answers"]
