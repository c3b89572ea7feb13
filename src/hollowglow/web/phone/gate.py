"""Who may come in with a phone: a six-digit code that lapses, few tries, and a secret for each phone that knew it."""

from __future__ import annotations

import hashlib
import hmac
import secrets
import time
from typing import TYPE_CHECKING

from hollowglow.messages.errors import HollowglowError

if TYPE_CHECKING:
    from collections.abc import Callable

CODE_S = 600.0
TRIES = 5
LOCK_S = 60.0
# An evening outside; then the phone asks for a code again.
SESSION_S = 12 * 3600.0
MOST_PHONES = 20


class GateError(HollowglowError):
    """A code that was not let in; the words may be shown to whoever typed it."""


class Gate:
    """The code of the moment and the phones that are in.

    Wrong tries count together, from wherever they come, because a stranger in the network can take many addresses.
    """

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self._clock = clock
        self._code, self._until = "", float("-inf")
        self._wrong, self._locked_until = 0, float("-inf")
        self._phones: dict[str, float] = {}

    @property
    def code(self) -> str:
        """Return the code of the moment; where the last one has lapsed, a new one."""
        if self._clock() >= self._until:
            self._code = f"{secrets.randbelow(10**6):06d}"
            self._until = self._clock() + CODE_S
        return self._code

    @property
    def code_left_s(self) -> float:
        """Return how long the code of the moment holds, s."""
        _ = self.code
        return self._until - self._clock()

    @property
    def locked_s(self) -> float:
        """Return how long no code is tried because too many were wrong, s; 0 where codes are tried."""
        return max(0.0, self._locked_until - self._clock())

    @property
    def phones(self) -> int:
        """Return how many phones are in."""
        now = self._clock()
        self._phones = {name: until for name, until in self._phones.items() if until > now}
        return len(self._phones)

    def enter(self, typed: str) -> str:
        """Return the secret of a phone whose person typed the code.

        Raises:
            GateError: the code is wrong or too many were; a locked gate takes the right code for wrong too.
        """
        if self.locked_s:
            raise GateError(
                f"Too many wrong codes. Wait {self.locked_s:.0f} s, then type the code on the laptop's screen."
            )
        digits = "".join(typed.split())
        if not hmac.compare_digest(digits.encode("utf-8", "replace"), self.code.encode()):
            self._wrong += 1
            if self._wrong >= TRIES:
                self._wrong, self._locked_until = 0, self._clock() + LOCK_S
                raise GateError(f"That was the fifth wrong code. Wait {LOCK_S:.0f} s, then type the one on the laptop.")
            raise GateError("This is not the code on the laptop's screen; it changes every ten minutes.")
        self._wrong = 0
        secret = secrets.token_urlsafe(32)
        while self.phones >= MOST_PHONES:
            del self._phones[next(iter(self._phones))]
        self._phones[_name(secret)] = self._clock() + SESSION_S
        return secret

    def knows(self, secret: str) -> bool:
        """Return whether a phone with this secret is in."""
        return self._phones.get(_name(secret), float("-inf")) > self._clock()

    def shut(self) -> None:
        """Send every phone out and make a new code."""
        self._phones.clear()
        self._until = float("-inf")


def _name(secret: str) -> str:
    # Looked up by its hash, so that the time of a look-up tells nothing about a secret.
    return hashlib.sha256(secret.encode("utf-8", "replace")).hexdigest()
