"""What a person is told when packets do not leave, or nobody takes them."""

from __future__ import annotations

import errno
import os


def failing_words(named: str, error: OSError) -> str:
    """Return what a person is told when packets cannot leave this computer."""
    fails = f"Sending to {named} fails ({error.strerror or error}). It is tried again with every frame;"
    if error.errno == errno.EACCES:
        return (
            f"{fails} that looks like the address of a whole network, or a firewall: name the controller's own address."
        )
    return f"{fails} check the cable or the wireless network."


def refused_words(named: str, code: int) -> str:
    """Return what a person is told when the network says that nobody takes what is sent."""
    if code == errno.ECONNREFUSED:
        return (
            f"{named} is there, but nothing listens for E1.31 at it. Sending goes on; see that this is the controller's "
            "address, and that its E1.31 input is on."
        )
    return (
        f"No device answers at {named} ({os.strerror(code)}). Sending goes on; see that this is the controller's address, "
        "and that it has power and a cable."
    )
