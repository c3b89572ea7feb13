"""Readings are kept whole or not at all beside the display file, and become factors for the model."""

import math
import sqlite3
from dataclasses import replace
from pathlib import Path

import pytest

from hollowglow.measured.readings import (
    KeptReading,
    Taking,
    corrections,
    factors,
    keep,
    kept,
    store_path,
)
from hollowglow.messages.refusal import Refusal

WHEN = ("2026-11-01T18:00:00+00:00", "2026-11-02T18:00:00+00:00", "2026-11-03T18:00:00+00:00")


def row(kind: str, luminance: float | None, computed: float | None = 100.0, recipe: str = "r1") -> KeptReading:
    return KeptReading(kind, 3, luminance, None, (0.19, 0.46), 0.02, computed, None, recipe)


def photographed(at: str, *kinds: KeptReading) -> Taking:
    return Taking(at, "photograph", ("a.jpg", "b.jpg"), False, kinds)


def metered(at: str, *kinds: KeptReading) -> Taking:
    return Taking(at, "meter", (), True, kinds)


def test_what_was_kept_comes_back(tmp_path: Path) -> None:
    display = tmp_path / "jetty.yaml"
    takings = [photographed(WHEN[0], row("float", 0.4), row("acorn", 0.3)), metered(WHEN[1], row("float", None, None))]
    assert kept(display) == ()
    for taking in takings:
        assert keep(display, taking) == tmp_path / "jetty.readings.sqlite" == store_path(display)
    assert list(kept(display)) == takings
    assert sorted(p.name for p in tmp_path.iterdir()) == ["jetty.readings.sqlite"]


def test_looking_makes_no_file(tmp_path: Path) -> None:
    assert corrections(tmp_path / "jetty.yaml") == {}
    assert list(tmp_path.iterdir()) == []


def test_a_taking_that_fails_half_way_leaves_nothing(tmp_path: Path) -> None:
    display = tmp_path / "jetty.yaml"
    keep(display, photographed(WHEN[0], row("float", 0.4)))
    broken = photographed(WHEN[1], row("acorn", 0.4), KeptReading(None, 1, 1.0, None, None, 0.0, None, None, "r"))  # type: ignore[arg-type]
    with pytest.raises(Refusal, match="the readings cannot be written"):
        keep(display, broken)
    assert [t.at for t in kept(display)] == [WHEN[0]]


def test_a_place_where_nothing_can_be_kept_is_told(tmp_path: Path) -> None:
    display = tmp_path / "gone" / "jetty.yaml"
    with pytest.raises(Refusal) as refused:
        keep(display, photographed(WHEN[0], row("float", 0.4)))
    assert str(refused.value) == (
        f"{store_path(display)}: no readings can be kept there (unable to open database file), expected a folder where files "
        "can be made. Make it writable; until then nothing is kept."
    )


@pytest.mark.parametrize(
    "content", [b"no database at all, but long enough to look like one " * 20, b"SQLite format 3\0" + bytes(200)]
)
def test_a_damaged_file_is_told(tmp_path: Path, content: bytes) -> None:
    display = tmp_path / "jetty.yaml"
    store_path(display).write_bytes(content)
    for attempt in (lambda: kept(display), lambda: keep(display, photographed(WHEN[0], row("float", 0.4)))):
        with pytest.raises(Refusal) as refused:
            attempt()
        assert str(refused.value).startswith(f"{store_path(display)}: ")
        assert str(refused.value).endswith("Move it away to begin anew.")
    assert store_path(display).read_bytes() == content


def test_a_database_of_something_else_is_left_alone(tmp_path: Path) -> None:
    display = tmp_path / "jetty.yaml"
    with sqlite3.connect(store_path(display)) as other:
        other.execute("CREATE TABLE mine (x)")
    other.close()
    with pytest.raises(Refusal) as refused:
        keep(display, photographed(WHEN[0], row("float", 0.4)))
    assert str(refused.value) == (
        f"{store_path(display)}: found a database of something else, expected readings. Move it away to begin anew."
    )


def test_readings_of_a_newer_version_are_not_touched(tmp_path: Path) -> None:
    display = tmp_path / "jetty.yaml"
    keep(display, photographed(WHEN[0], row("float", 0.4)))
    with sqlite3.connect(store_path(display)) as database:
        database.execute("PRAGMA user_version = 9")
    database.close()
    with pytest.raises(Refusal, match=r"found readings of a newer hollowglow \(form 9\), expected form 2"):
        kept(display)


def test_readings_of_the_first_form_stay_and_take_new_ones(tmp_path: Path) -> None:
    display = tmp_path / "jetty.yaml"
    old = photographed(WHEN[0], row("float", 0.4))
    keep(display, old)
    with sqlite3.connect(store_path(display)) as database:
        database.execute("ALTER TABLE taking DROP COLUMN across")
        database.execute("PRAGMA user_version = 1")
    database.close()
    before = store_path(display).read_bytes()
    assert kept(display) == (old,)
    assert store_path(display).read_bytes() == before
    new = replace(photographed(WHEN[1], row("acorn", 0.3)), across="size")
    keep(display, new)
    assert kept(display) == (old, new)


def test_intensities_of_photographs_count_only_where_something_makes_them_compare() -> None:
    kinds = [
        KeptReading("float", 3, 0.5, 0.09, None, 0.0, 100.0, 2.0, "r1"),
        KeptReading("acorn", 3, 0.5, 0.04, None, 0.0, 100.0, 1.0, "r1"),
    ]
    alike = {"float": pytest.approx(1.0), "acorn": pytest.approx(1.0)}
    apart = {"float": pytest.approx((0.045 / 0.04) ** 0.5), "acorn": pytest.approx((0.04 / 0.045) ** 0.5)}
    for across, expected in (("", alike), ("size", apart), ("distance", apart)):
        taking = replace(photographed(WHEN[0], *kinds), across=across)
        assert factors([taking]) == alike
        assert factors([taking], None, "intensity") == expected


def test_a_meter_tells_factors_as_they_are() -> None:
    assert factors([metered(WHEN[0], row("float", 120.0), row("acorn", 90.0))]) == pytest.approx(
        {"float": 1.2, "acorn": 0.9}
    )


def test_the_newest_reading_counts() -> None:
    takings = [metered(WHEN[0], row("float", 120.0)), metered(WHEN[1], row("float", 110.0))]
    assert factors(takings) == pytest.approx({"float": 1.1})


def test_photographs_alone_tell_how_kinds_differ_whatever_their_scale() -> None:
    for scale in (0.001, 1.0, 700.0):
        found = factors([photographed(WHEN[0], row("float", 1.44 * scale), row("acorn", 1.0 * scale))])
        assert found == pytest.approx({"float": 1.2, "acorn": 1 / 1.2})
        assert math.prod(found.values()) == pytest.approx(1.0)


@pytest.mark.parametrize("first", ["meter", "photograph"])
def test_a_meter_gives_photographs_their_scale(first: str) -> None:
    seen = (row("float", 0.6), row("acorn", 0.5))
    takings = [metered(WHEN[0], row("float", 120.0)), photographed(WHEN[1], *seen)]
    if first == "photograph":
        takings = [photographed(WHEN[0], *seen), metered(WHEN[1], row("float", 120.0))]
    assert factors(takings) == pytest.approx({"float": 1.2, "acorn": 1.0})


def test_one_kind_alone_in_a_photograph_tells_nothing() -> None:
    assert factors([photographed(WHEN[0], row("float", 0.4))]) == {}
    assert factors([photographed(WHEN[0], row("float", 0.4), row("acorn", 0.4, None))]) == {}


def test_a_kind_that_was_changed_since_needs_a_new_reading(tmp_path: Path) -> None:
    display = tmp_path / "jetty.yaml"
    keep(display, metered(WHEN[0], row("float", 120.0), row("acorn", 90.0)))
    assert corrections(display, {"float": "r1", "acorn": "r2"}) == pytest.approx({"float": 1.2})
