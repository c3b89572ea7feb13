"""Answers of a walk are kept once each, beside readings of any age, and come back in order."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from hollowglow.measured.readings import (
    Answered,
    Taking,
    answered,
    keep,
    keep_answer,
    keep_place,
    kept,
    place_of,
    store_path,
)
from hollowglow.messages.refusal import Refusal

LATER = Answered("b", "2026-11-25T18:00:02.000+00:00", "prop", "rail/prop02", "dark", "", "cap is wet")
EARLY = Answered("a", "2026-11-25T18:00:01.000+00:00", "order", "rail/prop01", "wrong colour", "grbw")


def test_looking_makes_no_file(tmp_path: Path) -> None:
    display = tmp_path / "jetty.yaml"
    assert answered(display) == ()
    assert place_of(display) is None
    assert list(tmp_path.iterdir()) == []


def test_answers_come_back_in_the_order_of_their_times(tmp_path: Path) -> None:
    display = tmp_path / "jetty.yaml"
    assert keep_answer(display, LATER)
    assert keep_answer(display, EARLY)
    assert answered(display) == (EARLY, LATER)


def test_sending_an_answer_again_changes_nothing(tmp_path: Path) -> None:
    display = tmp_path / "jetty.yaml"
    assert keep_answer(display, LATER)
    assert not keep_answer(display, LATER)
    assert not keep_answer(display, Answered("b", LATER.at, "prop", "rail/prop02", "lit"))
    assert answered(display) == (LATER,)


def test_the_place_is_the_last_one(tmp_path: Path) -> None:
    display = tmp_path / "jetty.yaml"
    keep_place(display, "prop:rail/prop02")
    keep_place(display, "prop:rail/prop03")
    assert place_of(display) == "prop:rail/prop03"


def test_readings_and_answers_share_a_file_in_either_order(tmp_path: Path) -> None:
    taking = Taking("2026-11-01T18:00:00+00:00", "meter", (), True, ())
    for name, first in (("one.yaml", "readings"), ("two.yaml", "answers")):
        display = tmp_path / name
        if first == "readings":
            keep(display, taking)
        assert answered(display) == ()
        keep_answer(display, EARLY)
        if first == "answers":
            keep(display, taking)
        assert kept(display) == (taking,)
        assert answered(display) == (EARLY,)


def test_a_database_of_something_else_is_left_alone(tmp_path: Path) -> None:
    display = tmp_path / "jetty.yaml"
    with sqlite3.connect(store_path(display)) as database:
        database.execute("CREATE TABLE other (x)")
    database.close()
    for use in (lambda: keep_answer(display, EARLY), lambda: answered(display), lambda: keep_place(display, "x")):
        with pytest.raises(Refusal, match="found a database of something else"):
            use()
