"""Where packets may go: groups by the standard's rule, one's own network freely, a public address only with a yes."""

import ipaddress
import socket

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hollowglow.cli.terminal.words import of_error
from hollowglow.messages.refusal import Refusal
from hollowglow.net.addresses import group, is_public, target


@pytest.mark.parametrize(
    ("universe", "address"),
    [(1, "239.255.0.1"), (256, "239.255.1.0"), (63999, "239.255.249.255"), (64214, "239.255.250.214")],
)
def test_the_group_of_a_universe(universe: int, address: str) -> None:
    """ANSI E1.31-2018 clause 9.3.1: 239.255.high.low; appendix A for 64214."""
    assert group(universe) == address


@pytest.mark.parametrize(
    ("to", "where"),
    [
        ("127.0.0.1", ("127.0.0.1", 5568)),
        ("127.0.0.1:6000", ("127.0.0.1", 6000)),
        ("localhost:6000", ("127.0.0.1", 6000)),
        (" 192.168.1.20 ", ("192.168.1.20", 5568)),
    ],
)
def test_one_host_takes_all_universes(to: str, where: tuple[str, int], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(socket, "getaddrinfo", numbers_only)
    found = target(to)
    assert (found.family, found.of(1), found.of(999)) == (socket.AF_INET, where, where)


@pytest.mark.parametrize("to", ["::1", "[::1]", "[::1]:5568"])
def test_one_host_by_its_longer_address(to: str) -> None:
    found = target(to)
    assert (found.family, found.of(1)[:2]) == (socket.AF_INET6, ("::1", 5568))


def test_multicast_takes_each_universe_to_its_group() -> None:
    assert target("multicast").of(258) == ("239.255.1.2", 5568)
    assert target("multicast:6000").of(1) == ("239.255.0.1", 6000)


@given(st.ip_addresses(v=4))
def test_what_the_address_registry_calls_global_needs_a_yes(address: ipaddress.IPv4Address) -> None:
    """IANA special-purpose address registry, as Python's ipaddress holds it."""
    if address.is_global and not address.is_multicast:
        assert is_public(str(address))


@pytest.mark.parametrize(
    "address", ["10.1.2.3", "172.16.0.1", "172.31.255.254", "192.168.0.9", "169.254.7.7", "127.9.9.9", "fd12::1"]
)
def test_private_addresses_are_ones_own(address: str) -> None:
    """RFC 1918, RFC 3927, RFC 4193."""
    assert not is_public(address)


def numbers_only(host: str, port: int, *arguments: object, **options: object) -> object:
    """What the system's look-up gives for a numeric address, without asking anybody."""
    where = "127.0.0.1" if host == "localhost" else str(ipaddress.ip_address(host))
    return [(socket.AF_INET, socket.SOCK_DGRAM, 17, "", (where, port))]


def test_a_public_address_is_refused_unless_it_is_meant(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(socket, "getaddrinfo", numbers_only)
    with pytest.raises(Refusal) as refused:
        target("198.51.100.7")
    assert of_error(refused.value) == (
        "198.51.100.7 is a public address, so nothing was sent. Lights are reached at private addresses such as "
        "192.168.1.20; if this one is meant all the same, add --yes-public."
    )
    assert target("198.51.100.7", yes_public=True).of(1) == ("198.51.100.7", 5568)


@pytest.mark.parametrize(
    ("to", "message"),
    [
        ("127.0.0.1:0", '--to: found port 0 in "127.0.0.1:0", expected 1 to 65535. E1.31 receivers listen on 5568.'),
        (
            "239.255.0.1",
            "--to: found the multicast group 239.255.0.1, expected one host. "
            "--to multicast sends every universe to its own group.",
        ),
        ("0.0.0.0", "--to: 0.0.0.0 is no host. Name the controller's address, or multicast."),
        ("255.255.255.255", "--to: 255.255.255.255 is no host. Name the controller's address, or multicast."),
        ("a:b", '--to: found "a:b", expected multicast, a host or host:port. Example: --to 192.168.1.20'),
    ],
)
def test_what_is_no_target_says_what_is(to: str, message: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(socket, "getaddrinfo", numbers_only)
    with pytest.raises(Refusal) as refused:
        target(to)
    assert of_error(refused.value) == message


def test_an_unknown_name_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    def unknown(*arguments: object, **options: object) -> object:
        raise socket.gaierror(socket.EAI_NONAME, "Name or service not known")

    monkeypatch.setattr(socket, "getaddrinfo", unknown)
    with pytest.raises(Refusal) as refused:
        target("shed.local")
    assert of_error(refused.value) == (
        '--to: no address is known for "shed.local". Name the IP address that the controller shows, '
        "such as 192.168.1.20, and check that this computer is on its network."
    )
