"""What is sent from the workbench: one session for all its pages, in a thread of its own, ended dark however it ends."""

from __future__ import annotations

import asyncio
import queue
import threading
import time
import uuid
from collections import deque
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any, TypeVar

import numpy as np

from hollowglow.messages.errors import HollowglowError
from hollowglow.messages.refusal import Refusal, Words
from hollowglow.net.sending.left_on import Record, black_out, cid_of, noticed
from hollowglow.show.walk import LIT, Sort, Walk, diagnose, layout_of, open_answers
from hollowglow.web.desk.bridge import Bridge
from hollowglow.web.rooms.test.record import Walked, walked
from hollowglow.web.words import of_error, told

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from hollowglow.jobs.shows.walk import Session
    from hollowglow.plan import Plan
    from hollowglow.view.pictures.night import Meter, Paint
    from hollowglow.web.desk.desk import Desk

TICK_S = 0.025
METER_S = 0.25
NEWS_S = 20.0
_SAID = 6
_PATIENCE_S = 8.0
T = TypeVar("T")


@dataclass(frozen=True)
class Wanted:
    """What a person asked to be sent.

    Attributes:
        to: address of the controller, or multicast.
        percent: brightness of every step but the trials.
        only: walk the steps of one sort alone.
        yes_public: whether an address outside of one's own network is meant.
        interface: own address to send from.
        away_s: blackout after no page has been open for so long; None for never.
    """

    to: str
    percent: float = 100.0
    only: Sort | None = None
    yes_public: bool = False
    interface: str | None = None
    away_s: float | None = None


class Lighting:
    """The one session that sends; its pages share it. All but `_run` is called from the server's own thread."""

    def __init__(self, desk: Desk, clock: Callable[[], float] = time.monotonic) -> None:
        self.desk = desk
        self.wanted: Wanted | None = None
        self.last = Wanted("")
        self.since = ""
        self.session: Session | None = None
        self.meter: Meter | None = None
        self.paint: Paint | None = None
        self.ended = ""
        self.left_on = ""
        self.record = Walked()
        self.said: deque[str] = deque(maxlen=_SAID)
        self.ticket = uuid.uuid4().hex
        self.watchers = 0
        self.pages = 0
        self._clock = clock
        self._seen_s = clock()
        self._halt = threading.Event()
        self._why = ""
        self._commands: queue.SimpleQueue[tuple[Callable[[Session], Any], asyncio.Future[Any]]] = queue.SimpleQueue()
        self._thread: threading.Thread | None = None
        self._bridge: Bridge | None = None
        self._following: asyncio.Task[None] | None = None
        self._starting = asyncio.Lock()

    @property
    def sending(self) -> bool:
        """Return whether something is being sent."""
        return self.session is not None

    def seen(self) -> None:
        """Take note that somebody is at a page."""
        self._seen_s = self._clock()

    async def look(self) -> None:
        """Read the record of answers, and what a run that was cut off left on."""
        plan = self.desk.plan
        if plan is not None:
            self.record = await asyncio.to_thread(walked, self.desk.path, plan, self.record)
        if not self.sending:
            self.left_on = await asyncio.to_thread(self._left)

    def _left(self) -> str:
        try:
            left = noticed(self.desk.path)
        except Refusal as error:
            return of_error(error)
        return left.words() if left is not None else ""

    async def start(self, wanted: Wanted) -> None:
        """Begin to send.

        Raises:
            Refusal: nothing can be sent there, or something is being sent already.
        """
        async with self._starting:
            self.last = wanted
            if self.sending:
                raise Refusal("Lights are being sent already. Stop that first.")
            plan = self.desk.plan
            if plan is None:
                raise Refusal("The display has to be computed before it can be lit.")
            if not wanted.to.strip():
                raise Refusal("Type the address of the controller first; nothing was sent.")
            self.said.clear()
            self.ended, self._why = "", ""
            # One of its own for each thread: an earlier one that still waits for the network must not go on.
            self._halt = threading.Event()
            self.seen()
            self._bridge = Bridge(self.desk)
            ready: asyncio.Future[None] = asyncio.get_running_loop().create_future()
            given = (wanted, plan, ready, self._bridge, self._halt)
            thread = threading.Thread(target=self._run, args=given, name="hollowglow test", daemon=True)
            self._thread = thread
            thread.start()
            await ready
            self.wanted, self.since = wanted, f"{datetime.now(UTC):%H:%M} UTC"
            self._following = asyncio.create_task(self._follow(plan))
            await self.desk.tell()

    async def stop(self, why: str = "") -> None:
        """Send a blackout and the end of the stream, and close; does nothing where nothing is sent."""
        thread = self._thread
        self._why = self._why or why
        self._halt.set()
        if thread is not None:
            await asyncio.to_thread(thread.join, _PATIENCE_S)
        if self._following is not None:
            self._following.cancel()
        await self.desk.tell()

    async def do(self, act: Callable[[Session], T]) -> T:
        """Return what something does with the session, in the session's own thread.

        Raises:
            Refusal: nothing is being sent, or what it says itself.
        """
        self.seen()
        if self.session is None:
            raise Refusal("Nothing is being sent now. Start it first.")
        done: asyncio.Future[T] = asyncio.get_running_loop().create_future()
        self._commands.put((act, done))
        if self.session is None:  # it ended just now, and nobody would take this up
            self._turn_away()
        made = await done
        self.ticket = uuid.uuid4().hex
        await self.desk.tell()
        return made

    async def move(self, verb: str, to: str = "") -> None:
        """Go next, back, jump (to an id), walk (the step again), go (start a trial, light again) or blackout."""
        moves: Mapping[str, Callable[[Walk, float], Walk]] = {
            "next": Walk.next,
            "back": Walk.back,
            "jump": lambda walk, at_s: walk.jump(to.strip(), at_s),
            "walk": lambda walk, at_s: replace(walk, held=False, since_s=at_s),
            "go": Walk.start,
            "blackout": lambda walk, _at_s: walk.stop(),
        }
        if verb not in moves:
            raise Refusal("There is no such move.")
        await self.do(lambda session: session.move(moves[verb](session.walk, self._clock())))

    async def light(self, what: str, colour: str, percent: float) -> None:
        """Light one thing by its id, or all, instead of the step."""
        from hollowglow.jobs.shows.light import cells_of, chosen, read_colour

        plan = self.desk.plan
        assert plan is not None
        slots = read_colour(colour, percent)

        def act(session: Session) -> None:
            colours = np.zeros((session.addresses.cells, 3), dtype=np.uint8)
            props = chosen(plan.assembly, what.strip())
            colours[cells_of(plan.assembly, session.addresses, props)] = slots
            count = int(props.sum())
            session.light(f"{what.strip()}: {count} prop{'s' if count > 1 else ''} in {colour.strip()}", colours)

        await self.do(act)

    async def answer(
        self, made_id: str, answer: str, of: str, seen: str = "", note: str = "", go_on: bool = True
    ) -> dict[str, Any]:
        """Keep an answer, whether or not anything is sent now; sent again under its id it changes nothing.

        Args:
            made_id: the asker's own id of it.
            answer: lit, dark, wrong colour, flickers, dim or out of order.
            of: id of the step that it answers.
            seen: colours seen in a colour check.
            note: anything more.
            go_on: whether a walk that shows this very step goes on once it is lit.

        Returns:
            Id, target, answer and colours as kept, and in words what it means.
        """
        from hollowglow.jobs.shows.walk import first_words, keep

        plan = self.desk.plan
        if plan is None:
            raise Refusal("The display has to be computed before answers can be kept.")

        def with_session(session: Session) -> Any:
            known = any(a.id == made_id for a in session.answers)
            made = session.answer(answer, seen, note, made_id, of)
            shown = session.walk.step.id == of and not session.one and not session.walk.ended
            if go_on and not known and made.answer == LIT and shown:
                session.move(session.walk.next(self._clock()))
            return made

        def without() -> Any:
            made, _ = keep(self.desk.path, Walk.of(layout_of(plan)).jump(of, 0.0), answer, seen, note, made_id)
            return made

        made = await (self.do(with_session) if self.sending else asyncio.to_thread(without))
        self.ticket = uuid.uuid4().hex
        await self.look()
        kept = next((a for a in self.record.answers if a.id == made_id), made)
        means = [d for d in diagnose(self.record.layout, self.record.answers) if kept.id in d.answers]
        await self.desk.tell()
        return {
            "id": kept.id,
            "step": kept.step,
            "target": kept.target,
            "answer": kept.answer,
            "seen": kept.seen,
            "open": kept in open_answers(self.record.answers),
            "means": told(first_words(means)),
        }

    async def blackout(self, yes_public: bool) -> None:
        """Send a blackout to where a run that was cut off left lights on."""
        self.left_on = await asyncio.to_thread(self._blackout, yes_public)
        await self.desk.tell()

    def _blackout(self, yes_public: bool) -> str:
        with Record(self.desk.path) as record:
            left = record.left_on()
            if left is not None:
                black_out(left, cid_of(self.desk.path), yes_public=yes_public)
                record.end()
        return ""

    async def _follow(self, plan: Plan) -> None:
        """Go on with the new plan whenever the display was changed; stop where its universes are others."""
        version = -1
        while self.sending:
            version = await self.desk.newer(version, NEWS_S)
            newest = self.desk.plan
            if newest is None or newest is plan:
                continue
            plan = newest
            try:
                goes_on = await self.do(lambda session, new=newest: self._renewed(session, new))  # type: ignore[misc]
            except HollowglowError as error:
                await self._stop_for(of_error(error))
                return
            if not goes_on:
                await self._stop_for(
                    "The display was changed and has other universes now, so sending stopped. Start it again."
                )
                return
            self.say("The display was changed; what is sent follows it.")

    async def _stop_for(self, why: str) -> None:
        self._following = None  # it is this very task
        await self.stop(why)

    def _renewed(self, session: Session, plan: Plan) -> bool:
        if not session.renew(plan, self._clock()):
            return False
        self._outfit(session)
        return True

    def _outfit(self, session: Session) -> None:
        from hollowglow.view.pictures.night import Meter, Paint

        self.paint = Paint.of(session.addresses)
        self.meter = Meter(session.limiter.demand, session.limiter.allowed)

    def say(self, words: Words) -> None:
        """Keep what the network or the session has to tell; called from any thread."""
        self.said.append(told(words))
        if self._bridge is not None:
            self._bridge.tell()

    def _run(
        self, wanted: Wanted, plan: Plan, ready: asyncio.Future[None], bridge: Bridge, halt: threading.Event
    ) -> None:
        """Send until halted; everything that touches the session happens in here."""
        # What sends is loaded by who first sends, not by everyone who opens a display.
        from hollowglow.jobs.shows.walk import walking

        words = ""
        try:
            with walking(
                self.desk.path,
                plan,
                wanted.to.strip(),
                only=wanted.only,
                percent=wanted.percent,
                interface=wanted.interface,
                yes_public=wanted.yes_public,
                say=self.say,
                clock=self._clock,
            ) as session:
                self._outfit(session)
                self.session = session
                bridge.settle(ready, None)
                self._go(session, wanted.away_s, bridge, halt)
        except HollowglowError as error:
            words = of_error(error)
        except Exception as error:  # a fault of ours: it is told, and the lights are dark
            words = f"Sending stopped, and it is Hollowglow's own fault: {type(error).__name__}: {error}"
        finally:
            self.session, self.meter = None, None
            self.ended = self._why or words
            bridge.settle(ready, Refusal(words or "Sending stopped before it began."))
            self._turn_away()

    def _go(self, session: Session, away_s: float | None, bridge: Bridge, halt: threading.Event) -> None:
        metered_s, metered = 0.0, None
        while not halt.is_set():
            with suppress(queue.Empty):
                act, done = self._commands.get(timeout=TICK_S)
                try:
                    made = act(session)
                except Exception as error:
                    bridge.settle(done, error)
                else:
                    bridge.settle(done, None, made)
            now = self._clock()
            session.tick(now)
            if self.watchers and self.meter is not None and session.lit is not metered and now - metered_s > METER_S:
                metered_s, metered = now, session.lit
                self.meter.take(session.lit)  # type: ignore[arg-type]
            if away_s is not None and self.pages == 0 and now - self._seen_s > away_s:
                self._why = f"No page was open for {away_s / 60:g} min, so the lights were made dark."
                return

    def _turn_away(self) -> None:
        """Tell whoever still waits that nothing is sent any more."""
        assert self._bridge is not None
        with suppress(queue.Empty):
            while True:
                _, done = self._commands.get_nowait()
                self._bridge.settle(done, Refusal("Sending has stopped meanwhile. Start it again."))
        self._bridge.tell()
