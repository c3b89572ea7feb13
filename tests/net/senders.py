"""Packets as a sender would make them, with only what matters in a test stated."""

import uuid

from hollowglow.net.packets.packet import Data, Sync, encode


def cid(number: int) -> bytes:
    return uuid.UUID(int=number).bytes


def data(
    who: int = 1,
    sequence: int = 0,
    slots: bytes = b"",
    *,
    universe: int = 1,
    priority: int = 100,
    sync: int = 0,
    preview: bool = False,
    terminated: bool = False,
    force: bool = False,
    start_code: int = 0,
) -> bytes:
    return encode(
        Data(
            cid(who), f"sender {who}", priority, sync, sequence, preview, terminated, force, universe, start_code, slots
        )
    )


def sync(address: int, sequence: int = 0, who: int = 1) -> bytes:
    return encode(Sync(cid(who), sequence, address))
