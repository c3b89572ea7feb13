"""A walk through a display that is lit: the plan behind it, the frames that go out, the answers that are kept."""

from __future__ import annotations

import contextlib
import uuid
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict, dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hollowglow.file.store.writing import shown
from hollowglow.jobs.plan import plan_file
from hollowglow.jobs.shows.light import end_or_tell, end_what_was_left
from hollowglow.measured.readings import Answered, answered, keep_answer, keep_place, place_of
from hollowglow.messages.refusal import Job, Refusal, Words, parts, plain
from hollowglow.net import Sender
from hollowglow.net.sending.left_on import LeftOn, Record, cid_of, now_text
from hollowglow.plan import Plan, Progress, silent
from hollowglow.show.demand import AddressMap
from hollowglow.show.limiter import LimitedFrame, Limiter
from hollowglow.show.walk import Diagnosis, Layout, Sort, Walk, diagnose, layout_of, open_answers

Say = Callable[[Words], None]
Frame = NDArray[np.uint8]
Colours = NDArray[np.uint8]


@dataclass
class Session:
    """A walk under way: every move is kept, every tick shows what the walk wants lit.

    Attributes:
        path: of the display file.
        walk: where it stands.
        addresses: which slots light which cell.
        limiter: what every frame goes through.
        sender: what sends the frames.
        answers: all of this display, the oldest first.
        only: the one sort of step on the route, None for all.
        one: what is lit instead of the step, in words; empty where the step itself is.
        lit: the frame as it goes out, after the limiter; None before the first.
    """

    path: Path
    walk: Walk
    addresses: AddressMap
    limiter: Limiter
    sender: Sender
    answers: list[Answered]
    only: Sort | None = None
    one: str = ""
    lit: Frame | None = field(default=None, repr=False)
    _one: Colours | None = field(default=None, repr=False)
    _asked: Frame | None = field(default=None, repr=False)

    def tick(self, at_s: float) -> LimitedFrame:
        """Send what the walk wants lit now, and return how it was limited.

        Raises:
            Refusal: sending has failed.
        """
        frame = self.addresses.frame(self.walk.colours(at_s) if self._one is None else self._one)
        if self._asked is None or not np.array_equal(frame, self._asked):
            self.lit = self.sender.show(frame)
            self._asked = frame
        return self.limiter.last

    def light(self, words: str, colours: Colours) -> None:
        """Light something else than the step until the next move.

        Args:
            words: what it is.
            colours: of all cells, shape (cells, 3).
        """
        self.one, self._one = words, colours
        self.walk = self.walk.stop()

    def move(self, walk: Walk) -> None:
        """Go to where a walk stands, and keep the place for the next time."""
        self.walk, self.one, self._one = walk, "", None
        if walk.aside is None:
            keep_place(self.path, walk.steps[0].id if walk.ended else walk.step.id)

    def renew(self, plan: Plan, at_s: float) -> bool:
        """Go on with a display that was changed meanwhile; return False where its universes are others, so that it cannot.

        The step stays where the new route still has it. A trial under way ends dark.

        Raises:
            Refusal: there is nothing to walk any more.
        """
        addresses = AddressMap.of(plan.assembly)
        if addresses.universes != self.addresses.universes:
            return False
        before = self.walk
        walk = Walk.of(layout_of(plan), self.only, before.percent).resumed(before.step.id, at_s)
        if before.aside is not None:
            with contextlib.suppress(Refusal):
                walk = walk.jump(before.step.id, at_s)
        self.addresses, self.limiter = addresses, Limiter.of(plan.assembly)
        self.walk = walk.stop() if before.dark or before.started else walk
        self.one, self._one, self._asked = "", None, None
        return True

    def answer(
        self, answer: str, seen: str = "", note: str = "", made_id: str | None = None, of: str | None = None
    ) -> Answered:
        """Keep an answer to the step that is shown, and return it.

        Args:
            answer: lit, dark, wrong colour, flickers, dim or out of order.
            seen: colours seen in a colour check.
            note: anything more.
            made_id: the asker's own id of this answer; made here where None.
            of: id of the step that it answers, where that is not the one that is shown.

        Raises:
            Refusal: no such answer or step, or it cannot be kept.
        """
        walk = self.walk if of is None else self.walk.jump(of, 0.0)
        made, fresh = keep(self.path, walk, answer, seen, note, made_id)
        if fresh:
            self.answers.append(made)
        return made

    def meaning(self, made: Answered) -> tuple[Diagnosis, ...]:
        """Return what an answer means together with all that are open."""
        return tuple(d for d in diagnose(self.walk.layout, self.answers) if made.id in d.answers)


def keep(
    path: Path, walk: Walk, answer: str, seen: str = "", note: str = "", made_id: str | None = None
) -> tuple[Answered, bool]:
    """Keep an answer to the step of a walk; return it, and whether its id was a new one.

    Raises:
        Refusal: no such answer, or it cannot be kept.
    """
    at = datetime.now(UTC).isoformat(timespec="milliseconds")
    made = walk.answer(answer, made_id or uuid.uuid4().hex, at, seen, note)
    return made, keep_answer(path, made)


@contextlib.contextmanager
def walking(
    path: Path,
    plan: Plan,
    to: str,
    *,
    only: Sort | None = None,
    start: str | None = None,
    percent: float = 100.0,
    priority: int = 100,
    sync: int = 0,
    interface: str | None = None,
    yes_public: bool = False,
    say: Say,
    clock: Callable[[], float],
) -> Iterator[Session]:
    """Light a display for a walk; at the end everything is dark, however it ends.

    Args:
        path: of the display file.
        plan: of the display.
        to: address of the controller, or multicast.
        only: walk the steps of one sort alone.
        start: step to begin at; where the last walk stood when None.
        percent: brightness of every step but the full-load trials.
        priority: of the packets.
        sync: universe of synchronization packets; 0 for none.
        interface: own address to send from.
        yes_public: whether an address outside of one's own network is meant.
        say: told what happens to the network.
        clock: the caller's clock, s.

    Raises:
        Refusal: there is nothing to walk, or nothing can be sent there.
    """
    walk = Walk.of(layout_of(plan), only, percent)
    walk = walk.resumed(place_of(path), clock()) if start is None else walk.jump(start, clock())
    addresses = AddressMap.of(plan.assembly)
    session: Session

    def limit(frame: Frame) -> Frame:
        # That of the session, which is another one after the display was changed.
        return session.limiter(frame)

    if plan.stopped:
        say(("The plan forbids building this display as it stands; ", Job("check", shown(path)), " says why."))
    source = f"{plan.assembly.display.display} - Hollowglow"
    with Record(path) as record:
        cid = cid_of(path)
        with Sender(
            addresses.universes,
            to,
            cid=cid,
            source=source,
            priority=priority,
            sync_address=sync,
            limit=limit,
            yes_public=yes_public,
            interface=interface,
            say=say,
        ) as sender:
            end_what_was_left(record, cid, say, yes_public)
            record.begin(
                LeftOn("something on a walk", to, interface, addresses.universes, source, priority, now_text())
            )
            try:
                limiter = Limiter.of(plan.assembly)
                session = Session(path, walk, addresses, limiter, sender, list(answered(path)), only)
                yield session
            finally:
                end_or_tell(sender, record, say)


@dataclass(frozen=True)
class WalkReport:
    """What walks of a display have left open, what it means, and which props nobody has looked at."""

    plan: Plan
    layout: Layout
    answers: tuple[Answered, ...]
    open: tuple[Answered, ...]
    meanings: tuple[Diagnosis, ...]
    unseen: tuple[str, ...]


def report_walk(path: Path, progress: Progress = silent) -> WalkReport:
    """Return what is open after all walks of a display.

    Raises:
        DisplayError: the display cannot be read.
        Refusal: the answers cannot be read.
    """
    plan = plan_file(path, progress)
    layout = layout_of(plan)
    answers = answered(path)
    seen = {a.target for a in answers if a.target in layout.prop_rows}
    unseen = tuple(prop.id for prop in layout.props if prop.id not in seen)
    return WalkReport(plan, layout, answers, open_answers(answers), diagnose(layout, answers), unseen)


def walk_document(report: WalkReport) -> dict[str, Any]:
    """Return the report as plain data for JSON; voltages in V."""
    return {
        "display": report.layout.display,
        "answers": len(report.answers),
        "open": [asdict(a) for a in report.open],
        "meanings": [_meaning(d) for d in report.meanings],
        "unseen": list(report.unseen),
    }


def _meaning(one: Diagnosis) -> dict[str, Any]:
    low, high = (None, None) if one.expected_v is None else (round(v, 4) for v in one.expected_v)
    return {
        "where": list(one.where),
        "says": one.says,
        "measure": plain(one.measure),
        "lowest_v": low,
        "highest_v": high,
        "answers": list(one.answers),
    }


def first_words(meanings: Sequence[Diagnosis]) -> Words:
    """Return the first meaning as sentences, empty where there is none."""
    return (f"{sentence(meanings[0])} ", *parts(meanings[0].measure)) if meanings else ""


def sentence(meaning: Diagnosis) -> str:
    """Return a meaning as a sentence; one that begins with an id begins as the id does."""
    words = meaning.says
    first = words.split(maxsplit=1)[0].rstrip(":,")
    return f"{words if '/' in first or first in meaning.where else words[:1].upper() + words[1:]}."
