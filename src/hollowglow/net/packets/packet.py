"""The three packets of ANSI E1.31-2018 (edition followed), as bytes in and packets out; no socket is opened here.

Sources: ANSI E1.31-2018 clause 4 (layout, tables 4-1 to 4-3), 5 (root layer), 6 (framing layer), 7 (DMP layer),
8 (universe discovery layer). A receiver is lenient where the standard lets it be: reserved option bits are ignored, so are
octets after the packet, and a name that is not UTF-8 is read with replacement characters.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass

PORT = 5568  # ACN_SDT_MULTICAST_PORT, appendix A
DISCOVERY_UNIVERSE = 64214  # E131_DISCOVERY_UNIVERSE, appendix A
UNIVERSES = (1, 63999)  # clause 6.2.7
PRIORITIES = (0, 200)  # clause 6.2.3
DEFAULT_PRIORITY = 100  # clause 6.2.3
MOST_SLOTS = 512  # clause 7.6: property value count up to 513, START code included
MOST_LISTED = 512  # clause 8.5: universes on one page of discovery
NAME_OCTETS = 63  # clause 6.2.2: 64 octets, the last one NUL

PRIORITY_AT = 108
SEQUENCE_AT = 111
OPTIONS_AT = 112
START_CODE_AT = 125
SLOTS_AT = 126
SYNC_SEQUENCE_AT = 44
PREVIEW, TERMINATED, FORCE_SYNC = 0x80, 0x40, 0x20  # clause 6.2.6

_PREAMBLE = bytes.fromhex("00100000") + b"ASC-E1.17\0\0\0"
_ROOT_AT, _FRAMING_AT, _DMP_AT, _LIST_AT = 16, 38, 115, 112
_SYNC_END, _LISTED_AT = 49, 120
_ROOT_DATA, _ROOT_EXTENDED = 4, 8
_FRAMING_DATA, _FRAMING_SYNC, _FRAMING_DISCOVERY = 2, 1, 2
_LIST_VECTOR = 1
_DMP_HEAD = bytes.fromhex("02a100000001")  # vector, address and data type, first address, increment

_ROOT = struct.Struct(">16sHI16s")
_DATA_FRAMING = struct.Struct(">HI64sBHBBH")
_DMP = struct.Struct(">H6sHB")
_SYNC_FRAMING = struct.Struct(">HIBHH")
_DISCOVERY_FRAMING = struct.Struct(">HI64sI")
_LIST = struct.Struct(">HIBB")


@dataclass(frozen=True, slots=True)
class Data:
    """The slots of one universe. The name is `source`; `sync_address` 0 asks to act at once."""

    cid: bytes
    source: str
    priority: int
    sync_address: int
    sequence: int
    preview: bool
    terminated: bool
    force_sync: bool
    universe: int
    start_code: int
    slots: bytes


@dataclass(frozen=True, slots=True)
class Sync:
    """The moment at which receivers show what they hold for `sync_address`."""

    cid: bytes
    sequence: int
    sync_address: int


@dataclass(frozen=True, slots=True)
class Discovery:
    """One page of the list of universes that a source sends, ascending."""

    cid: bytes
    source: str
    page: int
    last_page: int
    universes: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Malformed:
    """A datagram that is none of the three packets, and why."""

    why: str


Packet = Data | Sync | Discovery


def encode(packet: Packet) -> bytes:
    """Return the datagram of a packet; ValueError for a value that the standard has no room for."""
    match packet:
        case Data():
            return _encode_data(packet)
        case Sync():
            return _encode_sync(packet)
        case Discovery():
            return _encode_discovery(packet)


def decode(datagram: bytes) -> Packet | Malformed:
    """Return the packet that a datagram holds, or Malformed with the reason; never raises."""
    if len(datagram) < _SYNC_END:
        return Malformed(f"{len(datagram)} octets, at least {_SYNC_END} expected")
    preamble, flags_length, vector, cid = _ROOT.unpack_from(datagram)
    if preamble != _PREAMBLE:
        return Malformed("the preamble is not that of an ACN packet over UDP")
    end = _end(datagram, _ROOT_AT, flags_length)
    if end is None:
        return Malformed("root layer: wrong flags, or a length that is not there")
    if vector == _ROOT_DATA:
        return _decode_data(datagram, cid, end)
    if vector == _ROOT_EXTENDED:
        framing = int.from_bytes(datagram[_FRAMING_AT + 2 : _FRAMING_AT + 6], "big")
        if framing == _FRAMING_SYNC:
            return _decode_sync(datagram, cid, end)
        if framing == _FRAMING_DISCOVERY:
            return _decode_discovery(datagram, cid, end)
        return Malformed(f"framing layer of an extended packet: vector {framing}, 1 or 2 expected")
    return Malformed(f"root layer: vector {vector}, 4 or 8 expected")


def fitting_name(name: str) -> str:
    """Return as much of a source name as fits the field, cut between characters."""
    clean = name.replace("\0", " ").encode("utf-8", "replace")
    return clean[:NAME_OCTETS].decode("utf-8", "ignore")


def _encode_data(packet: Data) -> bytes:
    _within("universe", packet.universe, *UNIVERSES)
    _within("priority", packet.priority, *PRIORITIES)
    _within("synchronization address", packet.sync_address, 0, UNIVERSES[1])
    _within("sequence number", packet.sequence, 0, 255)
    _within("START code", packet.start_code, 0, 255)
    _within("number of slots", len(packet.slots), 0, MOST_SLOTS)
    end = SLOTS_AT + len(packet.slots)
    options = packet.preview * PREVIEW | packet.terminated * TERMINATED | packet.force_sync * FORCE_SYNC
    framing = _DATA_FRAMING.pack(
        _flags_length(_FRAMING_AT, end),
        _FRAMING_DATA,
        _name(packet.source),
        packet.priority,
        packet.sync_address,
        packet.sequence,
        options,
        packet.universe,
    )
    dmp = _DMP.pack(_flags_length(_DMP_AT, end), _DMP_HEAD, len(packet.slots) + 1, packet.start_code)
    return _root(packet.cid, _ROOT_DATA, end) + framing + dmp + packet.slots


def _encode_sync(packet: Sync) -> bytes:
    _within("synchronization address", packet.sync_address, *UNIVERSES)
    _within("sequence number", packet.sequence, 0, 255)
    framing = _SYNC_FRAMING.pack(
        _flags_length(_FRAMING_AT, _SYNC_END), _FRAMING_SYNC, packet.sequence, packet.sync_address, 0
    )
    return _root(packet.cid, _ROOT_EXTENDED, _SYNC_END) + framing


def _encode_discovery(packet: Discovery) -> bytes:
    _within("page", packet.page, 0, 255)
    _within("last page", packet.last_page, packet.page, 255)
    _within("number of universes on a page", len(packet.universes), 0, MOST_LISTED)
    for universe in packet.universes:
        _within("universe", universe, *UNIVERSES)
    if list(packet.universes) != sorted(set(packet.universes)):
        raise ValueError("universes in a discovery packet ascend, each once")
    end = _LISTED_AT + 2 * len(packet.universes)
    framing = _DISCOVERY_FRAMING.pack(_flags_length(_FRAMING_AT, end), _FRAMING_DISCOVERY, _name(packet.source), 0)
    head = _LIST.pack(_flags_length(_LIST_AT, end), _LIST_VECTOR, packet.page, packet.last_page)
    listed = struct.pack(f">{len(packet.universes)}H", *packet.universes)
    return _root(packet.cid, _ROOT_EXTENDED, end) + framing + head + listed


def _decode_data(datagram: bytes, cid: bytes, end: int) -> Data | Malformed:
    if end < SLOTS_AT:
        return Malformed(f"data packet of {end} octets, at least {SLOTS_AT} expected")
    flags_length, vector, name, priority, sync_address, sequence, options, universe = _DATA_FRAMING.unpack_from(
        datagram, _FRAMING_AT
    )
    if vector != _FRAMING_DATA:
        return Malformed(f"framing layer: vector {vector}, 2 expected")
    if _end(datagram, _FRAMING_AT, flags_length) != end:
        return Malformed("framing layer: its length does not end with the root layer's")
    dmp_length, head, count, start_code = _DMP.unpack_from(datagram, _DMP_AT)
    if _end(datagram, _DMP_AT, dmp_length) != end:
        return Malformed("DMP layer: its length does not end with the root layer's")
    if head != _DMP_HEAD:
        return Malformed(f"DMP layer: {head.hex(' ')}, {_DMP_HEAD.hex(' ')} expected")
    if count != end - START_CODE_AT or count > MOST_SLOTS + 1:
        return Malformed(f"DMP layer: {count} values stated, {end - START_CODE_AT} there, {MOST_SLOTS + 1} at most")
    if not UNIVERSES[0] <= universe <= UNIVERSES[1]:
        return Malformed(f"universe {universe}, {UNIVERSES[0]} to {UNIVERSES[1]} expected")
    if priority > PRIORITIES[1]:
        return Malformed(f"priority {priority}, {PRIORITIES[1]} at most expected")
    return Data(
        cid,
        _read_name(name),
        priority,
        sync_address,
        sequence,
        bool(options & PREVIEW),
        bool(options & TERMINATED),
        bool(options & FORCE_SYNC),
        universe,
        start_code,
        bytes(datagram[SLOTS_AT:end]),
    )


def _decode_sync(datagram: bytes, cid: bytes, end: int) -> Sync | Malformed:
    flags_length, _, sequence, sync_address, _ = _SYNC_FRAMING.unpack_from(datagram, _FRAMING_AT)
    if end != _SYNC_END or _end(datagram, _FRAMING_AT, flags_length) != end:
        return Malformed(f"synchronization packet: its lengths do not make {_SYNC_END} octets")
    if not UNIVERSES[0] <= sync_address <= UNIVERSES[1]:
        return Malformed(f"synchronization address {sync_address}, {UNIVERSES[0]} to {UNIVERSES[1]} expected")
    return Sync(cid, sequence, sync_address)


def _decode_discovery(datagram: bytes, cid: bytes, end: int) -> Discovery | Malformed:
    count, odd = divmod(end - _LISTED_AT, 2)
    if not 0 <= count <= MOST_LISTED or odd:
        return Malformed(f"discovery packet of {end} octets, {_LISTED_AT} and two for each universe expected")
    flags_length, _, name, _ = _DISCOVERY_FRAMING.unpack_from(datagram, _FRAMING_AT)
    list_length, vector, page, last_page = _LIST.unpack_from(datagram, _LIST_AT)
    if _end(datagram, _FRAMING_AT, flags_length) != end or _end(datagram, _LIST_AT, list_length) != end:
        return Malformed("discovery packet: the lengths of its layers do not end together")
    if vector != _LIST_VECTOR:
        return Malformed(f"universe list: vector {vector}, 1 expected")
    if page > last_page:
        return Malformed(f"universe list: page {page} after the last page {last_page}")
    return Discovery(cid, _read_name(name), page, last_page, struct.unpack_from(f">{count}H", datagram, _LISTED_AT))


def _root(cid: bytes, vector: int, end: int) -> bytes:
    if len(cid) != 16:
        raise ValueError(f"a CID has 16 octets, not {len(cid)}")
    return _ROOT.pack(_PREAMBLE, _flags_length(_ROOT_AT, end), vector, cid)


def _flags_length(start: int, end: int) -> int:
    return 0x7000 | (end - start)


def _end(datagram: bytes, start: int, flags_length: int) -> int | None:
    end = start + (flags_length & 0x0FFF)
    return end if flags_length >> 12 == 7 and end <= len(datagram) else None


def _name(source: str) -> bytes:
    octets = source.encode("utf-8")
    if len(octets) > NAME_OCTETS or b"\0" in octets:
        raise ValueError(f"a source name has at most {NAME_OCTETS} octets of UTF-8 and no NUL, not {source!r}")
    return octets


def _read_name(field: bytes) -> str:
    return field.split(b"\0", 1)[0].decode("utf-8", "replace")


def _within(what: str, value: int, least: int, most: int) -> None:
    if not least <= value <= most:
        raise ValueError(f"{what} {value}: {least} to {most} is what the standard has room for")
