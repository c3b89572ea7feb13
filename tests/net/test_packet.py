"""Every octet is where ANSI E1.31-2018 has it, what was encoded is decoded again, and nothing that arrives raises."""

import struct
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hollowglow.net.packets.packet import (
    DISCOVERY_UNIVERSE,
    Data,
    Discovery,
    Malformed,
    Sync,
    decode,
    encode,
    fitting_name,
)

CID = bytes(range(16))
FULL = Data(CID, "Ferry landing", 100, 0, 0, False, False, False, 1, 0, bytes(512))
SYNC = Sync(CID, 7, 7962)
DISCOVERY = Discovery(CID, "Ferry landing", 0, 0, (1, 2, 63999))

names = st.text(st.characters(exclude_characters="\0", exclude_categories=["Cs"]), max_size=63).map(fitting_name)
octets = st.integers(0, 255)
universes = st.integers(1, 63999)
cids = st.binary(min_size=16, max_size=16)
data_packets = st.builds(
    Data,
    cids,
    names,
    st.integers(0, 200),
    st.integers(0, 63999),
    octets,
    st.booleans(),
    st.booleans(),
    st.booleans(),
    universes,
    octets,
    st.binary(max_size=512),
)
pages = st.tuples(octets, octets).map(sorted)
packets = st.one_of(
    data_packets,
    st.builds(Sync, cids, octets, universes),
    st.builds(
        lambda cid, name, page, listed: Discovery(cid, name, page[0], page[1], tuple(sorted(listed))),
        cids,
        names,
        pages,
        st.sets(universes, max_size=512),
    ),
)


def word(datagram: bytes, at: int) -> str:
    return datagram[at : at + 2].hex()


def test_first_octets_of_a_full_data_packet() -> None:
    """ANSI E1.31-2018 clause 5, tables 4-1 and 5-4: preamble, identifier, length, vector."""
    assert encode(FULL)[:22].hex(" ") == "00 10 00 00 41 53 43 2d 45 31 2e 31 37 00 00 00 72 6e 00 00 00 04"


def test_middle_of_a_full_data_packet() -> None:
    """ANSI E1.31-2018 table 4-1: octets 108 to 125 at universe 1, priority 100, sequence number 0."""
    assert encode(FULL)[108:126].hex(" ") == "64 00 00 00 00 00 01 72 0b 02 a1 00 00 00 01 02 01 00"


@pytest.mark.parametrize(
    ("slots", "total", "root", "framing", "dmp", "count"),
    [(512, 638, "726e", "7258", "720b", "0201"), (510, 636, "726c", "7256", "7209", "01ff")],
)
def test_lengths_of_the_layers(slots: int, total: int, root: str, framing: str, dmp: str, count: str) -> None:
    """ANSI E1.31-2018 table 4-1: 0x7000 | 110 + N, 88 + N, 11 + N, and 1 + N values, for N slots; 126 + N octets."""
    datagram = encode(replace(FULL, slots=bytes(slots)))
    assert len(datagram) == total
    assert [word(datagram, at) for at in (16, 38, 115, 123)] == [root, framing, dmp, count]


def test_fields_of_a_data_packet_stand_where_the_standard_has_them() -> None:
    """ANSI E1.31-2018 table 4-1."""
    packet = Data(CID, "Köping", 150, 7962, 201, True, True, True, 63999, 0xDD, bytes(range(1, 4)))
    datagram = encode(packet)
    assert datagram[22:38] == CID
    assert datagram[40:44].hex() == "00000002"
    assert datagram[44:108] == "Köping".encode().ljust(64, b"\0")
    assert datagram[108] == 150
    assert word(datagram, 109) == f"{7962:04x}"
    assert datagram[111] == 201
    assert datagram[112] == 0xE0
    assert word(datagram, 113) == f"{63999:04x}"
    assert datagram[125] == 0xDD
    assert datagram[126:] == b"\x01\x02\x03"


@pytest.mark.parametrize(("flag", "mask"), [("preview", 0x80), ("terminated", 0x40), ("force_sync", 0x20)])
def test_each_option_has_its_bit(flag: str, mask: int) -> None:
    """ANSI E1.31-2018 clause 6.2.6."""
    assert encode(replace(FULL, **{flag: True}))[112] == mask


def test_synchronization_packet() -> None:
    """ANSI E1.31-2018 table 4-2: 49 octets, root vector 8, framing vector 1, lengths 0x7021 and 0x700B."""
    datagram = encode(SYNC)
    assert len(datagram) == 49
    assert word(datagram, 16) == "7021"
    assert datagram[18:22].hex() == "00000008"
    assert word(datagram, 38) == "700b"
    assert datagram[40:44].hex() == "00000001"
    assert datagram[44] == 7
    assert word(datagram, 45) == f"{7962:04x}"
    assert word(datagram, 47) == "0000"


@pytest.mark.parametrize(("count", "total"), [(0, 120), (512, 1144)])
def test_discovery_packet(count: int, total: int) -> None:
    """ANSI E1.31-2018 table 4-3 and clause 8: 120 to 1144 octets, pages at 118 and 119, the list from 120."""
    datagram = encode(Discovery(CID, "x", 1, 2, tuple(range(1, count + 1))))
    assert len(datagram) == total
    assert datagram[18:22].hex() == "00000008"
    assert datagram[40:44].hex() == "00000002"
    assert datagram[108:112] == bytes(4)
    assert datagram[114:118].hex() == "00000001"
    assert tuple(datagram[118:120]) == (1, 2)
    assert struct.unpack(f">{count}H", datagram[120:]) == tuple(range(1, count + 1))


def test_universe_of_discovery() -> None:
    """ANSI E1.31-2018 appendix A: E131_DISCOVERY_UNIVERSE."""
    assert DISCOVERY_UNIVERSE == 64214


@given(packets)
def test_what_was_encoded_is_decoded_again(packet: Data | Sync | Discovery) -> None:
    assert decode(encode(packet)) == packet


@given(packets, st.binary(min_size=1, max_size=40))
def test_octets_after_the_packet_are_ignored(packet: Data | Sync | Discovery, rest: bytes) -> None:
    assert decode(encode(packet) + rest) == packet


@given(st.binary(max_size=700))
def test_noise_is_malformed(datagram: bytes) -> None:
    assert isinstance(decode(datagram), Malformed)


@given(packets, st.data())
def test_a_changed_or_cut_packet_never_raises(packet: Data | Sync | Discovery, data: st.DataObject) -> None:
    datagram = bytearray(encode(packet))
    for _ in range(data.draw(st.integers(1, 4))):
        datagram[data.draw(st.integers(0, len(datagram) - 1))] = data.draw(octets)
    result = decode(bytes(datagram[: data.draw(st.integers(0, len(datagram)))]))
    assert isinstance(result, Data | Sync | Discovery | Malformed)


@given(packets, st.data())
def test_a_cut_packet_is_malformed(packet: Data | Sync | Discovery, data: st.DataObject) -> None:
    datagram = encode(packet)
    assert isinstance(decode(datagram[: data.draw(st.integers(0, len(datagram) - 1))]), Malformed)


@pytest.mark.parametrize(
    ("packet", "at", "value", "why"),
    [
        (FULL, 1, 0x11, "the preamble is not that of an ACN packet over UDP"),
        (FULL, 16, 0x62, "root layer: wrong flags, or a length that is not there"),
        (FULL, 21, 5, "root layer: vector 5, 4 or 8 expected"),
        (FULL, 43, 1, "framing layer: vector 1, 2 expected"),
        (FULL, 39, 0x57, "framing layer: its length does not end with the root layer's"),
        (FULL, 116, 0x0A, "DMP layer: its length does not end with the root layer's"),
        (FULL, 118, 0xA2, "DMP layer: 02 a2 00 00 00 01, 02 a1 00 00 00 01 expected"),
        (FULL, 124, 0, "DMP layer: 512 values stated, 513 there, 513 at most"),
        (FULL, 114, 0, "universe 0, 1 to 63999 expected"),
        (FULL, 113, 0xFA, "universe 64001, 1 to 63999 expected"),
        (FULL, 108, 201, "priority 201, 200 at most expected"),
        (SYNC, 43, 9, "framing layer of an extended packet: vector 9, 1 or 2 expected"),
        (SYNC, 39, 0x0A, "synchronization packet: its lengths do not make 49 octets"),
        (DISCOVERY, 117, 2, "universe list: vector 2, 1 expected"),
        (DISCOVERY, 118, 1, "universe list: page 1 after the last page 0"),
    ],
)
def test_what_is_malformed_says_why(packet: Data | Sync | Discovery, at: int, value: int, why: str) -> None:
    datagram = bytearray(encode(packet))
    datagram[at] = value
    assert decode(bytes(datagram)) == Malformed(why)


def test_reserved_option_bits_are_ignored() -> None:
    """ANSI E1.31-2018 clause 6.2.6: the low five bits are sent as zero and ignored when received."""
    datagram = bytearray(encode(FULL))
    datagram[112] = 0x1F
    assert decode(bytes(datagram)) == FULL


@pytest.mark.parametrize(
    ("packet", "message"),
    [
        (replace(FULL, universe=0), "universe 0: 1 to 63999 is what the standard has room for"),
        (replace(FULL, universe=64000), "universe 64000: 1 to 63999 is what the standard has room for"),
        (replace(FULL, priority=201), "priority 201: 0 to 200 is what the standard has room for"),
        (replace(FULL, slots=bytes(513)), "number of slots 513: 0 to 512 is what the standard has room for"),
        (replace(FULL, cid=b"short"), "a CID has 16 octets, not 5"),
        (replace(FULL, source="é" * 32), "a source name has at most 63 octets of UTF-8 and no NUL"),
        (replace(SYNC, sync_address=0), "synchronization address 0: 1 to 63999 is what the standard has room for"),
        (replace(DISCOVERY, universes=(2, 1)), "universes in a discovery packet ascend, each once"),
    ],
)
def test_what_has_no_room_is_not_encoded(packet: Data | Sync | Discovery, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        encode(packet)


@given(st.text())
def test_any_name_can_be_made_to_fit(name: str) -> None:
    fitted = fitting_name(name)
    assert isinstance(decode(encode(replace(FULL, source=fitted))), Data)
    assert len(fitted.encode()) <= 63
