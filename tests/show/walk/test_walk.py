"""What an answer becomes, what a session keeps of it, and that the page about walking has every word of it."""

from __future__ import annotations

import errno
import re
import time
from pathlib import Path

import pytest

from hollowglow.jobs.plan import plan_file
from hollowglow.jobs.shows.walk import sentence, walking
from hollowglow.measured.readings import Answered, answered
from hollowglow.messages.refusal import Refusal
from hollowglow.net import Sender
from hollowglow.net.sending.left_on import LeftOn, Record
from hollowglow.net.sending.outlet import Outlet
from hollowglow.show.demand import AddressMap
from hollowglow.show.limiter import Limiter
from hollowglow.show.walk import ANSWERS, SORTS, Walk, diagnose, layout_of
from hollowglow.show.walk.counting import DIGIT_WORDS
from tests.net.listening import ends_well, listening
from tests.outside.displays import dump
from tests.show.walk.samples import plan_of, two_strings

PLAN = plan_of(two_strings())
LAYOUT = layout_of(PLAN)
PAGE = Path(__file__).parents[3] / "docs" / "walk.md"
AT = "2026-11-25T18:00:00.000+00:00"


@pytest.mark.parametrize(
    ("seen", "answer"), [("rgbw", "lit"), ("grbw", "wrong colour"), ("----", "dark"), ("rg-y", "wrong colour")]
)
def test_in_a_colour_check_the_colours_decide(seen: str, answer: str) -> None:
    made = Walk.of(LAYOUT, "order").answer("wrong colour", "x", AT, seen)
    assert (made.answer, made.seen, made.step, made.target) == (answer, seen, "order", "rail/prop01")


def test_colours_of_other_steps_are_not_asked_for_and_not_kept() -> None:
    made = Walk.of(LAYOUT, "prop").answer("wrong colour", "x", AT, "grbw", " rim ")
    assert (made.answer, made.seen, made.note) == ("wrong colour", "", "rim")


def test_from_aside_the_walk_goes_on_where_it_left_the_route() -> None:
    walk = Walk.of(LAYOUT, "prop").next(0.0).next(0.0)
    aside = walk.jump("gang rail/prop09", 1.0)
    assert aside.step.id == "gang:rail/prop09"
    assert aside.next(2.0).step == aside.back(2.0).step == walk.step


def test_an_unknown_answer_is_told() -> None:
    with pytest.raises(Refusal) as told:
        Walk.of(LAYOUT).answer("fine", "x", AT)
    assert str(told.value) == (
        'The answer: found "fine", expected one of lit, dark, wrong colour, flickers, dim, out of order. Choose one of them.'
    )


def test_a_walk_of_a_sort_that_is_not_there_is_told() -> None:
    display = two_strings()
    del display["strings"]["tree"]
    display["strings"]["rail"]["props"] = "float"
    layout = layout_of(plan_of(display))
    assert [s.sort for s in Walk.of(layout).steps] == ["string", "order", "gang", "prop", "load"]


def test_a_session_keeps_an_answer_once_however_often_it_is_sent(tmp_path: Path) -> None:
    path = tmp_path / "jetty.yaml"
    path.write_text(dump(two_strings()), encoding="utf-8")
    said: list[str] = []
    with listening() as ear:
        with walking(path, PLAN, ear.at, say=said.append, clock=lambda: 0.0) as session:
            session.tick(0.0)
            for _ in range(3):
                made = session.answer("dark", made_id="phone-1")
            assert [a.id for a in answered(path)] == ["phone-1"] == [a.id for a in session.answers]
            assert session.meaning(made)[0].where == ("rail", "box/1", "rail/prop01")
            ear.wait_for(lambda e: any(any(p.slots) for p in e.data()))
        ends_well(ear.data())
    assert said == []


def test_a_meaning_begins_as_a_sentence_unless_with_an_id() -> None:
    begins = {
        ("rail", "wrong colour", "string"): "rail is not white",
        ("rail", "dark", "string"): "All of rail is dark",
        ("rail/prop03", "wrong colour", "prop"): "rail/prop03 is not white",
    }
    for (target, answer, step), words in begins.items():
        (meaning,) = diagnose(LAYOUT, [Answered("a", AT, step, target, answer)])
        assert sentence(meaning).startswith(words)


def test_an_error_in_the_middle_of_a_walk_leaves_darkness(tmp_path: Path) -> None:
    path = tmp_path / "jetty.yaml"
    path.write_text(dump(two_strings()), encoding="utf-8")
    with listening() as ear:

        def fall_over() -> None:
            with walking(path, PLAN, ear.at, say=lambda _words: None, clock=lambda: 0.0) as session:
                session.tick(0.0)
                ear.wait_for(lambda e: any(any(p.slots) for p in e.data()))
                raise ZeroDivisionError

        with pytest.raises(ZeroDivisionError):
            fall_over()
        ends_well(ear.data())


def test_a_walk_says_what_a_killed_run_left_on_and_keeps_it_where_the_network_is_gone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "jetty.yaml"
    path.write_text(dump(two_strings()), encoding="utf-8")
    said: list[str] = []
    with listening() as ear:
        left = LeftOn("rail", ear.at, None, (1,), "killed", 100, "2026-11-25T17:00:00+00:00")
        with Record(path) as record:
            record.begin(left)
        with walking(path, plan_file(path), ear.at, say=said.append, clock=time.monotonic) as session:
            session.tick(0.0)
            ear.wait_for(lambda e: any(any(p.slots) for p in e.data()))
            monkeypatch.setattr(Outlet, "send_rows", unreachable)
        assert said[0] == left.words()
        assert said[1] == "A blackout was sent there."
        assert said[-1].startswith("The network was gone at the end, so these lights may stay on")
    with Record(path) as record:
        kept = record.left_on()
    assert kept is not None
    assert kept.what == "something on a walk"


def unreachable(outlet: Outlet, rows: object) -> None:
    raise OSError(errno.ENETUNREACH, "Network is unreachable")


def test_every_frame_of_a_walk_goes_through_the_limiter(tmp_path: Path) -> None:
    path = tmp_path / "jetty.yaml"
    path.write_text(dump(two_strings()), encoding="utf-8")
    with (
        listening() as ear,
        walking(path, PLAN, ear.at, only="load", say=lambda _words: None, clock=lambda: 0.0) as session,
    ):
        assert isinstance(session.limiter, Limiter)
        assert isinstance(session.sender, Sender)
        session.walk = session.walk.start(0.0)
        asked = AddressMap.of(PLAN.assembly).frame(session.walk.colours(100.0))
        limited = session.tick(100.0)
        ear.wait_for(lambda e: any(any(p.slots) for p in e.data()))
        sent = next(p.slots for p in ear.data() if any(p.slots))
        assert max(sent) == int(asked.max() * limited.scale)


def test_the_page_about_walking_has_every_step_answer_and_digit() -> None:
    text = PAGE.read_text(encoding="utf-8")
    assert tuple(re.findall(r"^\| (\w+) \|.*\|.*\|$", text.split("## The colour code")[0], re.MULTILINE)[1:]) == SORTS
    assert ", ".join(f"`{answer}`" for answer in ANSWERS) in text
    for digit, words in enumerate(DIGIT_WORDS):
        colour, blinks = words.split(", ")
        assert f"| {digit} | {colour} | {blinks.split()[0]} |" in text
