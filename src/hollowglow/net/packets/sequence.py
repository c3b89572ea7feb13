"""Which packet of a stream is old: sequence numbers compared as ANSI E1.31-2018 clause 6.7.2 says, in eight bits."""

from __future__ import annotations

WINDOW = 20


def step(last: int, new: int) -> int:
    """Return how far a sequence number lies ahead of the last one, as a signed number of eight bits.

    Args:
        last, new: sequence numbers, 0 to 255.

    Returns:
        -128 to 127; negative for one that lies behind.

    >>> step(255, 0), step(0, 255), step(10, 246)
    (1, -1, -20)
    """
    return ((new - last + 128) & 0xFF) - 128


def is_old(last: int, new: int) -> bool:
    """Return whether a packet is to be discarded: -20 < new - last <= 0 in signed arithmetic of eight bits.

    One that lies exactly 20 behind is taken: a source that starts anew must be heard.

    Args:
        last: sequence number of the packet accepted last from this source for this universe.
        new: sequence number of the packet at hand.

    Source: ANSI E1.31-2018 clause 6.7.2 (in the 2009 edition 6.9.2).
    """
    return -WINDOW < step(last, new) <= 0
