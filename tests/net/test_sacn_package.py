"""The sacn package, an implementation of its own, makes the same octets and reads ours."""

import pytest
from sacn.messages.data_packet import DataPacket
from sacn.messages.sync_packet import SyncPacket
from sacn.messages.universe_discovery import UniverseDiscoveryPacket

from hollowglow.net.packets.packet import Data, Discovery, Sync, decode, encode

CID = bytes.fromhex("c0ffee00112233445566778899aabbcc")
SLOTS = tuple(k % 256 for k in range(512))
DATA = Data(CID, "Ferry landing", 150, 7962, 201, False, False, False, 63999, 0, bytes(SLOTS))
LISTED = tuple(range(3, 515))


def theirs() -> DataPacket:
    return DataPacket(tuple(CID), "Ferry landing", 63999, SLOTS, 150, 201, False, False, False, 7962, 0)


def test_data_packets_are_the_same_octets() -> None:
    assert encode(DATA) == bytes(theirs().getBytes())
    assert decode(bytes(theirs().getBytes())) == DATA


@pytest.mark.parametrize("options", [(True, False, False), (False, True, False), (False, False, True)])
def test_options_are_the_same(options: tuple[bool, bool, bool]) -> None:
    preview, terminated, force_sync = options
    packet = theirs()
    packet.option_PreviewData, packet.option_StreamTerminated, packet.option_ForceSync = options
    ours = Data(CID, "Ferry landing", 150, 7962, 201, preview, terminated, force_sync, 63999, 0, bytes(SLOTS))
    assert encode(ours) == bytes(packet.getBytes())


def test_synchronization_packets_are_the_same_octets() -> None:
    packet = SyncPacket(tuple(CID), 7962, 7)
    assert encode(Sync(CID, 7, 7962)) == bytes(packet.getBytes())


def test_discovery_packets_are_the_same_octets() -> None:
    packet = UniverseDiscoveryPacket(tuple(CID), "Ferry landing", LISTED, 1, 2)
    assert encode(Discovery(CID, "Ferry landing", 1, 2, LISTED)) == bytes(packet.getBytes())
