"""A phone comes in with the code of the moment, and a stranger who guesses gets nowhere."""

from __future__ import annotations

import asyncio
import socket
from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest
import zxingcpp
from hypothesis import given
from hypothesis import strategies as st

from hollowglow.messages.refusal import Refusal
from hollowglow.web.phone import AnswerError, Answers, Gate, lan, open_line
from hollowglow.web.phone.gate import GateError


class Clock:
    def __init__(self) -> None:
        self.now = 100.0

    def __call__(self) -> float:
        return self.now


def other(code: str) -> str:
    return f"{(int(code) + 1) % 10**6:06d}"


def refused(gate: Gate, code: str) -> str:
    with pytest.raises(GateError) as error:
        gate.enter(code)
    return str(error.value)


def test_the_code_has_six_digits_and_lets_in_as_a_person_types_it() -> None:
    gate = Gate()
    assert len(gate.code) == 6
    assert gate.code.isdecimal()
    secret = gate.enter(f" {gate.code[:3]} {gate.code[3:]}\n")
    assert gate.knows(secret)
    assert not gate.knows(secret[:-1])
    assert not gate.knows("")
    assert gate.phones == 1


@given(st.text(max_size=40))
def test_nothing_else_lets_in(typed: str) -> None:
    gate = Gate()
    if "".join(typed.split()) != gate.code:
        assert refused(gate, typed) == "This is not the code on the laptop's screen; it changes every ten minutes."
    assert gate.phones == 0


def test_a_code_lapses_after_ten_minutes_and_who_is_in_stays_in_for_twelve_hours() -> None:
    clock = Clock()
    gate = Gate(clock)
    old, secret = gate.code, gate.enter(gate.code)
    clock.now += 599.0
    assert gate.code == old
    clock.now += 1.5
    while gate.code == old:  # one time in a million the new one is the old one
        clock.now += 601.0
    refused(gate, old)
    assert gate.knows(secret)
    clock.now += 12 * 3600.0
    assert not gate.knows(secret)
    assert gate.phones == 0


def test_five_wrong_codes_lock_for_a_minute_even_for_the_right_one() -> None:
    clock = Clock()
    gate = Gate(clock)
    for _ in range(4):
        assert "not the code" in refused(gate, other(gate.code))
    assert "fifth wrong code. Wait 60 s" in refused(gate, other(gate.code))
    clock.now += 20.0
    assert refused(gate, gate.code) == "Too many wrong codes. Wait 40 s, then type the code on the laptop's screen."
    clock.now += 40.5
    assert gate.locked_s == 0.0
    assert gate.knows(gate.enter(gate.code))


def test_a_guesser_without_pause_has_a_chance_of_less_than_one_in_ten_thousand_a_code() -> None:
    clock = Clock()
    gate = Gate(clock)
    code, tried = gate.code, 0
    while clock.now < 100.0 + 600.0:
        if not gate.locked_s:
            tried += 1
            refused(gate, other(code))
        clock.now += 0.05
    assert tried / 10**6 < 1e-4


def test_shutting_out_makes_a_new_code_and_forgets_every_phone() -> None:
    gate = Gate()
    secrets_ = [gate.enter(gate.code) for _ in range(25)]
    assert gate.phones == 20
    assert [gate.knows(s) for s in secrets_] == [False] * 5 + [True] * 20
    gate.shut()
    assert gate.phones == 0


def test_phones_are_listened_for_on_local_networks_only() -> None:
    # RFC 5737 keeps 203.0.113.0/24 for documentation; it is no local network.
    for address in ("203.0.113.9", "0.0.0.0", "8", "::"):
        with pytest.raises(Refusal, match="is no address of a local network"):
            open_line([address])
    line = open_line(["127.0.0.2"])
    host, port = line.sockets[0].getsockname()
    assert host == "127.0.0.2"
    assert line.hosts == (f"127.0.0.2:{port}",)
    with pytest.raises(Refusal, match=f"at 127.0.0.2, port {port}"):
        open_line(["127.0.0.2"], port)
    for one in line.sockets:
        one.close()


def test_the_terminals_picture_leads_to_the_address_without_the_code() -> None:
    line = open_line(["127.0.0.2"])
    rows = []
    for text in line.in_letters(line.hosts[0]).splitlines():
        rows += [[letter in "█▀" for letter in text], [letter in "█▄" for letter in text]]
    pixels = np.kron(np.array(rows, dtype=np.uint8) * 255, np.ones((8, 8), dtype=np.uint8))
    # ZXing is another implementation of ISO/IEC 18004. OpenCV's reader makes nothing of one code in a hundred.
    assert [code.text for code in zxingcpp.read_barcodes(pixels)] == [f"http://{line.hosts[0]}/"]
    for one in line.sockets:
        one.close()


def test_without_a_local_network_that_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    class Nowhere(socket.socket):
        def connect(self, _address: Any) -> None:
            raise OSError("Network is unreachable")

    monkeypatch.setattr(lan.socket, "socket", Nowhere)
    monkeypatch.setattr(lan.socket, "gethostbyname_ex", lambda _name: ("x", [], ["127.0.1.1", "203.0.113.9"]))
    assert lan.local_addresses() == ()
    with pytest.raises(Refusal, match="no address on a local network"):
        open_line()


def test_the_machines_addresses_are_asked_for_without_sending(monkeypatch: pytest.MonkeyPatch) -> None:
    class Routed(socket.socket):
        def connect(self, address: Any) -> None:
            assert self.type == socket.SOCK_DGRAM
            self.to = address[0]

        def getsockname(self) -> Any:
            return {"192.168.255.254": ("192.168.7.4", 1), "10.255.255.254": ("10.0.0.9", 1)}.get(
                self.to, ("203.0.113.9", 1)
            )

    monkeypatch.setattr(lan.socket, "socket", Routed)
    monkeypatch.setattr(lan.socket, "gethostbyname_ex", lambda _name: ("x", [], ["127.0.1.1", "10.0.0.9"]))
    assert lan.local_addresses() == ("10.0.0.9", "192.168.7.4")


ID = "0123456789abcdef"


def post(answers: Answers, *given_: Any) -> list[Any]:
    async def work() -> list[Any]:
        return await asyncio.gather(*(answers.post(one) for one in given_), return_exceptions=True)

    return asyncio.run(work())


def test_an_answer_that_comes_twice_at_once_and_again_is_taken_once() -> None:
    taken: list[tuple[str, Mapping[str, Any]]] = []

    async def take(name: str, answer: Mapping[str, Any]) -> Mapping[str, Any]:
        await asyncio.sleep(0.01)
        taken.append((name, answer))
        return {"count": len(taken)}

    async def work() -> list[Any]:
        answers, answer = Answers(take), {"id": ID, "prop": "gable/prop03", "lit": True}
        got = list(await asyncio.gather(answers.post(answer), answers.post(dict(answer))))
        got.append(await answers.post(answer))
        with pytest.raises(AnswerError, match="Another answer has this id already"):
            await answers.post({"id": ID, "lit": False})
        return got

    assert asyncio.run(work()) == [{"count": 1}] * 3
    assert taken == [(ID, {"prop": "gable/prop03", "lit": True})]


def test_an_answer_that_could_not_be_written_is_tried_again() -> None:
    tries: list[str] = []

    async def take(name: str, _answer: Mapping[str, Any]) -> Mapping[str, Any]:
        tries.append(name)
        if len(tries) == 1:
            raise OSError("No space left on device")
        return {}

    async def work() -> None:
        answers = Answers(take)
        with pytest.raises(OSError, match="No space"):
            await answers.post({"id": ID})
        assert await answers.post({"id": ID}) == {}

    asyncio.run(work())
    assert tries == [ID, ID]


def test_a_phone_that_hangs_up_does_not_stop_the_writing() -> None:
    written: list[str] = []

    async def take(name: str, _answer: Mapping[str, Any]) -> Mapping[str, Any]:
        await asyncio.sleep(0.02)
        written.append(name)
        return {"ok": True}

    async def work() -> None:
        answers = Answers(take)
        first = asyncio.create_task(answers.post({"id": ID}))
        await asyncio.sleep(0.005)
        first.cancel()
        assert await answers.post({"id": ID}) == {"ok": True}

    asyncio.run(work())
    assert written == [ID]


@pytest.mark.parametrize("wrong", [None, [], "x", {}, {"id": 3}, {"id": "short"}, {"id": "a" * 65}, {"id": "../" * 6}])
def test_what_is_no_answer_is_refused(wrong: Any) -> None:
    async def take(_name: str, _answer: Mapping[str, Any]) -> Mapping[str, Any]:
        raise AssertionError

    assert isinstance(post(Answers(take), wrong)[0], AnswerError)
