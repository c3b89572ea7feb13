"""A killed sender's lights are known at the next start; one display is lit by one process at a time; the CID stays."""

import errno
import json
import re
from dataclasses import replace
from pathlib import Path

import pytest

from hollowglow.messages.refusal import Refusal
from hollowglow.net.sending.left_on import LeftOn, Record, black_out, cid_of, folder, noticed
from hollowglow.net.sending.outlet import Outlet
from tests.net.listening import listening, program

SENDING = LeftOn("rail/prop07", "127.0.0.1:9", None, (1, 2, 3), "Ferry landing", 100, "2026-11-25T17:00:00+00:00")


def test_the_cid_is_made_once_and_is_the_displays_own(tmp_path: Path) -> None:
    """ANSI E1.31-2018 clause 5.6: a UUID of RFC 4122; version 4 is the random one."""
    one, other = cid_of(tmp_path / "a.yaml"), cid_of(tmp_path / "b.yaml")
    assert cid_of(tmp_path / "a.yaml") == one != other
    assert len(one) == 16
    assert (one[6] >> 4, one[8] >> 6) == (4, 2)


def test_a_spoilt_cid_is_told(tmp_path: Path) -> None:
    path = folder(tmp_path / "a.yaml") / "cid"
    path.write_text("nonsense", encoding="ascii")
    with pytest.raises(Refusal) as refused:
        cid_of(tmp_path / "a.yaml")
    assert str(refused.value) == (
        f"{path}: found no UUID in it, expected the display's own. Delete it to get a new one."
    )


def test_a_run_that_ended_leaves_nothing(tmp_path: Path) -> None:
    with Record(tmp_path / "a.yaml") as record:
        assert record.left_on() is None
        record.begin(SENDING)
        assert record.left_on() == SENDING
        record.end()
    with Record(tmp_path / "a.yaml") as record:
        assert record.left_on() is None


def test_a_run_that_did_not_end_is_known(tmp_path: Path) -> None:
    with Record(tmp_path / "a.yaml") as record:
        record.begin(SENDING)
    with Record(tmp_path / "a.yaml") as record:
        assert record.left_on() == SENDING
    assert SENDING.words() == (
        "The run of 2026-11-25 17:00 UTC was cut off while rail/prop07 was lit at 127.0.0.1:9 (universes 1 to 3)."
    )


def test_two_at_once_are_told_apart(tmp_path: Path) -> None:
    with Record(tmp_path / "a.yaml") as record:
        record.begin(SENDING)
        with pytest.raises(Refusal) as refused:
            Record(tmp_path / "a.yaml")
    assert str(refused.value) == (
        "This display is being lit by another hollowglow: rail/prop07 at 127.0.0.1:9 since 2026-11-25 17:00 UTC. "
        "Stop that one first."
    )


@pytest.mark.parametrize("spoilt", ['{"what": "rail', "[]", "{}", '"x"', json.dumps({"universes": []}), "\0"])
def test_a_record_cut_off_says_nothing(spoilt: str, tmp_path: Path) -> None:
    (folder(tmp_path / "a.yaml") / "sending.json").write_text(spoilt, encoding="utf-8")
    with Record(tmp_path / "a.yaml") as record:
        assert record.left_on() is None


_PROGRAM = """
import sys, time, numpy as np
from hollowglow.net import Sender
from hollowglow.net.sending.left_on import LeftOn, Record, cid_of, now_text
display, to = sys.argv[1:]
with Record(display) as record, Sender([4], to, cid=cid_of(display), source="x") as sender:
    record.begin(LeftOn("rail", to, None, (4,), "x", 100, now_text()))
    sender.show(np.full((1, 512), 200, np.uint8))
    time.sleep(60)
"""


def test_a_killed_sender_is_known_and_its_lights_go_dark(tmp_path: Path) -> None:
    """More than 20 dark packets: whatever sequence number came last, ANSI E1.31-2018 clause 6.7.2 lets one through."""
    display = tmp_path / "a.yaml"
    with listening() as ear:
        process = program(_PROGRAM, str(display), ear.at)
        ear.wait_for(lambda e: len(e.data(4)) >= 3)
        process.kill()
        process.communicate(timeout=60)
        lit = len(ear.data(4))
        with Record(display) as record:
            left = record.left_on()
            assert left is not None
            assert (left.what, left.to, left.universes) == ("rail", ear.at, (4,))
            black_out(left, cid_of(display))
        dark = ear.data(4)[lit:]
    assert len(dark) >= 24
    assert {max(p.slots) for p in dark} == {0}
    assert {p.cid for p in ear.data(4)} == {cid_of(display)}
    assert [p.terminated for p in dark[-4:]] == [False, True, True, True]
    assert re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\+00:00", left.since)


def test_what_is_on_at_another_address_is_not_forgotten(tmp_path: Path) -> None:
    jetty, shed = LeftOn("rail", "192.0.2.1", None, (4,), "x", 100, "2026-11-25T17:00:00+00:00"), "192.0.2.2"
    with Record(tmp_path / "a.yaml") as record:
        record.begin(jetty)
    with Record(tmp_path / "a.yaml") as record:
        record.begin(replace(jetty, to=shed, what="gable"))
        assert record.left_on() == replace(jetty, to=shed, what="gable")
        record.end()
        assert record.left_on() == jetty
        record.begin(replace(jetty, what="all"))  # the same address: its end is the end of what was left on there
        record.end()
        assert record.left_on() is None


def test_a_blackout_that_did_not_leave_is_not_called_sent(monkeypatch: pytest.MonkeyPatch) -> None:
    def down(self: Outlet, rows: object) -> None:
        raise OSError(errno.ENETDOWN, "Network is down")

    monkeypatch.setattr(Outlet, "send_rows", down)
    with pytest.raises(Refusal, match=r"^The network did not take it\. Start again when it is back\.$"):
        black_out(SENDING, bytes(16))


def test_looking_for_what_was_left_on_makes_nothing(tmp_path: Path) -> None:
    display = tmp_path / "display.yaml"
    display.write_text("display: x\n", encoding="utf-8")
    assert noticed(display) is None
    assert [path.name for path in tmp_path.iterdir()] == ["display.yaml"]
