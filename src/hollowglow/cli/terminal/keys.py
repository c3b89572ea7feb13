"""Keys from a terminal one by one, or lines from anything else, without stopping what is being shown meanwhile."""

from __future__ import annotations

import codecs
import os
import queue
import re
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager

ENTER, ESCAPE, ERASE, LEFT, RIGHT = "enter", "escape", "erase", "left", "right"
# Of ECMA-48: CSI with its parameters and final letter, SS3 with one letter, Alt with another.
_SEQUENCE = re.compile(r"\x1b\[[0-?]*[ -/]*[@-~]|\x1bO[ -~]|\x1b[ -~]|.", re.DOTALL)
_ARROWS = {"\x1b[C": RIGHT, "\x1bOC": RIGHT, "\x1b[D": LEFT, "\x1bOD": LEFT}
_SINGLE = {"\r": ENTER, "\n": ENTER, "\x1b": ESCAPE, "\x7f": ERASE, "\b": ERASE}


class Keyboard:
    """What the person enters, read in a thread of its own.

    Attributes:
        single: whether single keys come, rather than lines.
    """

    def __init__(self, single: bool) -> None:
        self.single = single
        self._queue: queue.SimpleQueue[str | None] = queue.SimpleQueue()
        # A daemon: nothing ends a read of a terminal from outside.
        threading.Thread(target=self._read, name="hollowglow keys", daemon=True).start()

    def get(self, timeout_s: float) -> str | None:
        """Return the next key or line; "" where none came in time, None where the input has ended."""
        try:
            return self._queue.get(timeout=timeout_s)
        except queue.Empty:
            return ""

    def _read(self) -> None:
        try:
            for one in _windows_keys() if self.single and os.name == "nt" else self._pieces():
                self._queue.put(one)
        except (OSError, ValueError, AttributeError):  # the terminal went away, or there never was an input
            pass
        self._queue.put(None)

    def _pieces(self) -> Iterator[str]:
        # Bytes straight from the system: a buffered reader would hold its lock when the program ends.
        decode = codecs.getincrementaldecoder("utf-8")("replace").decode
        number, rest = sys.stdin.fileno(), ""
        while piece := os.read(number, 4096):
            text = decode(piece)
            if self.single:
                yield from keys(text)
                continue
            *lines, rest = (rest + text).split("\n")
            yield from (line.strip() or ENTER for line in lines)
        if rest.strip():
            yield rest.strip()


def keys(text: str) -> Iterator[str]:
    """Yield the keys in what a terminal sent in one piece, of which a busy machine reads several at once.

    Escape sequences other than arrows count as nothing.

    >>> list(keys("n\\x1b[C\\x1b[C\\x1b[3~q")), list(keys("\\x1b"))
    (['n', 'right', 'right', 'q'], ['escape'])
    """
    for one in _SEQUENCE.findall(text):
        if len(one) == 1:
            yield _SINGLE.get(one, one)
        elif one in _ARROWS:
            yield _ARROWS[one]


def _windows_keys() -> Iterator[str]:
    import msvcrt

    read = getattr(msvcrt, "getwch")  # noqa: B009 - known on Windows only
    while True:
        letter = read()
        if letter == "\x03":
            import _thread

            _thread.interrupt_main()
        elif letter in "\x00\xe0":
            arrow = {"M": RIGHT, "K": LEFT}.get(read())
            if arrow:
                yield arrow
        else:
            yield _SINGLE.get(letter, letter)


@contextmanager
def entering() -> Iterator[Keyboard]:
    """Yield the person's input; a terminal gives single keys until the end of the block, and is then as before."""
    single = sys.stdin is not None and sys.stdin.isatty()
    if not single or os.name == "nt":
        yield Keyboard(single)
        return
    import termios
    import tty

    number = sys.stdin.fileno()
    before = termios.tcgetattr(number)
    try:
        tty.setcbreak(number)
        yield Keyboard(True)
    finally:
        termios.tcsetattr(number, termios.TCSADRAIN, before)
