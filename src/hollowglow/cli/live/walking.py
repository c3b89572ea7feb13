"""The conversation of a walk: what a key or a line does, and what is said at each step."""

from __future__ import annotations

import math
import shutil
import textwrap
import time
from collections.abc import Callable
from dataclasses import dataclass, field

import click

from hollowglow.cli.terminal.keys import ENTER, ERASE, ESCAPE, LEFT, RIGHT, Keyboard
from hollowglow.cli.terminal.words import of_error, told
from hollowglow.jobs.shows.walk import Session, first_words
from hollowglow.messages.refusal import Refusal
from hollowglow.show.walk import ANSWERS, LIT, TITLES, WRONG, is_seen, look_words, place_words

_TICK_S = 0.02
# From a script a step lasts long enough for some frames to leave, at 40 of them a second; longer on a busy machine.
_DWELL_S = 0.15
_PATIENCE_S = 10.0
_LONGEST_WAIT_S = 3600.0
_REPEAT_S = 2.0
_WIDEST = 100
_ANSWER_KEYS = {
    **{str(i + 1): answer for i, answer in enumerate(ANSWERS)},
    **dict(zip("ldcfmo", ANSWERS, strict=True)),
}
_MOVES = {
    "n": "next", ENTER: "next", RIGHT: "next", "b": "back", LEFT: "back", "j": "jump", "t": "note", "r": "read",
    "g": "go", " ": "blackout", "x": "blackout", "q": "quit", "?": "help", "h": "help",
}  # fmt: skip
_WORDS = {"next", "back", "jump", "note", "read", "go", "blackout", "stop", "quit", "help", "wait"}
_PROMPTS = {
    "jump": "go to (an id, or: order rail/prop03)",
    "note": "note for the next answer",
    "read": "the colours that a prop shows, such as byr",
    "seen": "the four colours in the order in which they came, such as grbw",
}
_ANSWER_LINE = "  ".join(f"[{i + 1}] {answer}" for i, answer in enumerate(ANSWERS))
_MOVE_LINE = "[n] next  [b] back  [j] jump  [t] note  [space] blackout  [g] light again  [q] quit"


@dataclass
class Guide:
    """Leads a person through a session, key by key or line by line.

    Attributes:
        session: what is lit and kept.
        entered: where keys or lines come from.
        say: prints one line.
        clock: time, s.
    """

    session: Session
    entered: Keyboard
    say: Callable[[str], None]
    clock: Callable[[], float]
    note: str = ""
    prompt: str = ""
    typed: str = ""
    _limited: str = field(default="", repr=False)
    _words: str = field(default="", repr=False)
    _told_s: float = field(default=-math.inf, repr=False)
    _level: int = field(default=-1, repr=False)

    def run(self) -> None:
        """Go on until the person quits, the input ends, or the route does."""
        self._introduce()
        while True:
            now = self.clock()
            self._show(now)
            entry = self.entered.get(_TICK_S)
            if entry is None:
                return
            if entry == "":
                continue
            try:
                if not self._heard(entry):
                    return
            except Refusal as error:
                self._say(of_error(error))
            if not self.entered.single:
                self._linger(_DWELL_S)

    def _say(self, words: str) -> None:
        """Print words, on a terminal broken between words and its titles bold."""
        if not self.entered.single:
            self.say(words)
            return
        width = min(shutil.get_terminal_size().columns, _WIDEST)
        indent = words[: len(words) - len(words.lstrip())]
        for line in textwrap.wrap(words, width, subsequent_indent=indent, break_on_hyphens=False) or [""]:
            self.say(click.style(line, bold=True) if words.startswith("==") else line)

    def _show(self, now: float) -> None:
        limited = self.session.tick(now)
        # What blinks is limited anew with every blink, and a ramp with every step of it: said once, then now and then.
        fresh = limited.limits != self._limited or now - self._told_s >= _REPEAT_S
        if limited.words and limited.words != self._words and fresh:
            self._limited, self._words, self._told_s = limited.limits, limited.words, now
            self._say(f"  {limited.words}")
        walk = self.session.walk
        if walk.step.sort == "load" and walk.started:
            quarter = int(walk.colours(now).max()) * 4 // 255
            if quarter != self._level:
                self._level = quarter
                self._say(f"  {quarter * 25} % of full white; any key stops")

    def _linger(self, seconds: float) -> None:
        begun = self.clock()
        while (lasted := self.clock() - begun) < seconds or (
            not self.session.sender.has_sent and lasted < seconds + _PATIENCE_S
        ):
            self._show(self.clock())
            time.sleep(_TICK_S)

    def _heard(self, entry: str) -> bool:
        """Do what a key or a line says; return False to quit."""
        walk = self.session.walk
        if self.prompt:
            return self._typing(entry)
        if walk.step.sort == "load" and walk.started and not entry.startswith("wait"):
            self._stop()
            return not (not self.entered.single and entry in ("q", "quit"))
        if self.entered.single:
            return self._key(entry)
        return self._line(entry)

    def _key(self, key: str) -> bool:
        lower = key if len(key) > 1 else key.lower()
        step = self.session.walk.step
        if lower in _ANSWER_KEYS:
            answer = _ANSWER_KEYS[lower]
            if answer == WRONG and step.sort == "order":
                self._ask("seen")
            else:
                self._answer(answer)
            return True
        verb = _MOVES.get(lower)
        if verb == "read" and step.sort != "code":
            return True
        if verb in _PROMPTS:
            self._ask(str(verb))
            return True
        return self._do(str(verb), "") if verb else True

    def _line(self, line: str) -> bool:
        if line == ENTER:
            return self._do("next", "")
        step, lower = self.session.walk.step, line.lower()
        if step.sort == "order" and is_seen(line):
            self._answer(WRONG, line)
            return True
        # The longest answer first: "out of order" before its letter.
        for name in (*ANSWERS, *_ANSWER_KEYS):
            if lower == name or lower.startswith(f"{name} "):
                rest = line[len(name) :].strip()
                first, _, more = rest.partition(" ")
                answer = _ANSWER_KEYS.get(name, name)
                if step.sort == "order" and answer == WRONG and is_seen(first):
                    self._answer(answer, first, more)
                else:
                    self._answer(answer, "", rest)
                return True
        word, _, rest = line.partition(" ")
        verb = _MOVES.get(word.lower(), word.lower())
        if verb in _WORDS:
            return self._do(verb, rest.strip())
        if step.sort == "code" and set(lower) <= set("byr123"):
            return self._do("read", line)
        raise Refusal(f'"{line[:40]}" is no answer and no move. Type help for what there is.')

    def _do(self, verb: str, rest: str) -> bool:
        session, now = self.session, self.clock()
        if verb == "quit":
            return False
        if verb in ("next", "back", "jump"):
            if verb == "jump":
                session.move(session.walk.jump(rest, now))
            else:
                session.move(session.walk.next(now) if verb == "next" else session.walk.back(now))
            if session.walk.ended:
                self._say("That was the last step.")
                return False
            self._introduce()
        elif verb == "note":
            self.note = rest
            self._say(f"  the next answer is kept with: {rest}" if rest else "  no note")
        elif verb == "read":
            self._say(f"  {session.walk.read_code(rest)}")
        elif verb == "go":
            session.walk = session.walk.start(now)
            self._level = -1
        elif verb in ("blackout", "stop"):
            self._stop()
        elif verb == "wait":
            self._linger(_seconds(rest))
        elif verb == "help":
            self._introduce()
        return True

    def _stop(self) -> None:
        self.session.walk = self.session.walk.stop()
        self.session.tick(self.clock())
        self._say("  blackout; g lights it again")

    def _answer(self, answer: str, seen: str = "", note: str = "") -> None:
        session = self.session
        made = session.answer(answer, seen, note or self.note)
        self.note = ""
        self._say(f"  {made.target}: {made.answer}{f' ({made.seen})' if made.seen else ''}, kept")
        if made.answer == LIT:
            self._do_next()
            return
        words = told(first_words(session.meaning(made)))
        if words:
            self._say(f"  {words}")

    def _do_next(self) -> None:
        session = self.session
        walk = session.walk.next(self.clock())
        if walk.ended:
            self._say("  that was the last step; b goes back, j jumps, q quits")
            return
        session.move(walk)
        self._introduce()

    def _ask(self, what: str) -> None:
        self.prompt, self.typed = what, ""
        self._say(f"  {_PROMPTS[what]}, then Enter (Esc: none):")

    def _typing(self, key: str) -> bool:
        if key == ESCAPE:
            self.prompt = ""
            self._say("  left as it was")
        elif key == ENTER:
            what, self.prompt = self.prompt, ""
            self._say(f"  {self.typed}")
            if what == "seen":
                self._answer(WRONG, self.typed)
            else:
                return self._do(what, self.typed.strip())
        elif key == ERASE:
            self.typed = self.typed[:-1]
        elif len(key) == 1 and key.isprintable():
            self.typed += key
        return True

    def _introduce(self) -> None:
        walk = self.session.walk
        step, layout = walk.step, walk.layout
        self._level = -1
        where = "aside" if walk.aside is not None else f"{walk.at + 1} of {len(walk.steps)}"
        self._say("")
        self._say(f"== {step.target}: {TITLES[step.sort]} ({where})")
        self._say(f"  {place_words(layout, step)}")
        self._say(f"  {look_words(layout, step)}")
        if self.entered.single:
            self._say(f"  {_ANSWER_LINE}")
            extra = {"order": "  [c] type the colours", "code": "  [r] read a number"}.get(step.sort, "")
            self._say(f"  {_MOVE_LINE}{extra}")


def _seconds(text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = -1.0
    if not 0.0 <= value <= _LONGEST_WAIT_S:
        raise Refusal(f'wait: found "{text[:40]}", expected seconds from 0 to 3600. Type for example: wait 2')
    return value
