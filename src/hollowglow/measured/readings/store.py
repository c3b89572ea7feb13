"""Readings in SQLite beside the display file: when, what, from which photograph or meter, and what the model said then."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from hollowglow.messages.refusal import Refusal

if TYPE_CHECKING:
    import sqlite3

How = Literal["photograph", "meter"]
# What makes intensities of photographs comparable: the size that the file states, or distances that were measured.
Across = Literal["", "size", "distance"]
VERSION = 2
ENDING = ".readings.sqlite"
_MARK = 0x5354_5244  # "STRD": tells this file from any other database
_PATIENCE_S = 5.0

_TABLES = """
CREATE TABLE taking (
    id INTEGER PRIMARY KEY,
    at TEXT NOT NULL,
    how TEXT NOT NULL,
    sources TEXT NOT NULL,
    absolute INTEGER NOT NULL,
    across TEXT NOT NULL DEFAULT ''
);
CREATE TABLE reading (
    taking INTEGER NOT NULL REFERENCES taking (id),
    kind TEXT NOT NULL,
    props INTEGER NOT NULL,
    luminance REAL,
    intensity REAL,
    u REAL,
    v REAL,
    spread REAL NOT NULL,
    computed_luminance REAL,
    computed_intensity REAL,
    recipe TEXT NOT NULL
);
CREATE INDEX reading_kind ON reading (kind);
"""


@dataclass(frozen=True, slots=True)
class KeptReading:
    """One kind in one taking.

    Attributes:
        kind: its name.
        props: how many were measured.
        luminance: cd/m2, or relative within the taking; None where not measured.
        intensity: cd, or relative within the taking; None where not measured.
        uv: CIE 1976 u'v', None where not measured.
        spread: relative standard deviation between its props.
        computed_luminance: what the model gives at the same setting, uncorrected, cd/m2; None where it gives nothing.
        computed_intensity: the same, cd.
        recipe: fingerprint of the kind as stated then; a kind that was changed since needs a new reading.
    """

    kind: str
    props: int
    luminance: float | None
    intensity: float | None
    uv: tuple[float, float] | None
    spread: float
    computed_luminance: float | None
    computed_intensity: float | None
    recipe: str


@dataclass(frozen=True, slots=True)
class Taking:
    """Kinds that were measured together.

    Attributes:
        at: when, ISO 8601, UTC.
        how: with what.
        sources: from which files.
        absolute: whether in cd/m2 and cd, or on a scale of their own.
        kinds: what was measured of each.
        across: where not absolute, what makes intensities of unlike kinds comparable; "" where nothing does.
    """

    at: str
    how: How
    sources: tuple[str, ...]
    absolute: bool
    kinds: tuple[KeptReading, ...]
    across: Across = ""


def store_path(display: Path | str) -> Path:
    """Return where the readings of a display file are kept: jetty.yaml has jetty.readings.sqlite beside it."""
    path = Path(display)
    return path.with_name(path.stem + ENDING)


def keep(display: Path | str, taking: Taking) -> Path:
    """Add readings to those of a display file, all of them or none, and return where they are.

    Raises:
        Refusal: the file cannot be written, or is no store of readings.
    """
    path = store_path(display)
    with opened(path, write=True) as database, database:
        cursor = database.execute(
            "INSERT INTO taking (at, how, sources, absolute, across) VALUES (?, ?, ?, ?, ?)",
            (
                taking.at, taking.how, json.dumps(taking.sources, ensure_ascii=False), int(taking.absolute),
                taking.across,
            ),
        )  # fmt: skip
        rows = [
            (
                cursor.lastrowid, k.kind, k.props, k.luminance, k.intensity, *(k.uv or (None, None)), k.spread,
                k.computed_luminance, k.computed_intensity, k.recipe,
            )
            for k in taking.kinds
        ]  # fmt: skip
        database.executemany("INSERT INTO reading VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", rows)
    return path


def kept(display: Path | str) -> tuple[Taking, ...]:
    """Return all readings of a display file, the oldest first; none where nothing was kept.

    Raises:
        Refusal: the file cannot be read, or is no store of readings.
    """
    path = store_path(display)
    if not path.exists():
        return ()
    takings = []
    with opened(path, write=False) as database:
        across_too = "across" if _form(database) > 1 else "''"
        query = f"SELECT id, at, how, sources, absolute, {across_too} FROM taking ORDER BY at, id"
        for number, at, how, sources, absolute, across in database.execute(query).fetchall():
            rows = database.execute(
                "SELECT kind, props, luminance, intensity, u, v, spread, computed_luminance, computed_intensity, recipe "
                "FROM reading WHERE taking = ? ORDER BY rowid",
                (number,),
            )
            kinds = tuple(
                KeptReading(
                    kind, props, light, power, None if u is None or v is None else (u, v), spread, by_l, by_i, recipe
                )
                for kind, props, light, power, u, v, spread, by_l, by_i, recipe in rows
            )
            takings.append(Taking(at, how, tuple(json.loads(sources)), bool(absolute), kinds, across))
    return tuple(takings)


@contextmanager
def opened(path: Path, write: bool) -> Iterator[sqlite3.Connection]:
    """Open the readings for the tables of another module too; raises Refusal where the file cannot be used."""
    import sqlite3  # only where there are readings: a plan without any must not wait for it

    shown = "".join(c if c.isprintable() else "?" for c in str(path))
    try:
        mode = "rwc" if write else "ro"
        uri = f"{path.absolute().as_uri()}?mode={mode}"
        with closing(sqlite3.connect(uri, uri=True, timeout=_PATIENCE_S)) as database:
            _check(database, shown, write)
            yield database
    except sqlite3.DatabaseError as error:
        if write and not path.exists():
            raise Refusal(
                f"{shown}: no readings can be kept there ({error}), expected a folder where files can be made. Make it "
                "writable; until then nothing is kept."
            ) from None
        # Locked, full, read-only and damaged files all end here; SQLite's own words tell them apart.
        raise Refusal(
            f"{shown}: the readings cannot be {'written' if write else 'read'} ({error}), expected a file that "
            "hollowglow made. Move it away to begin anew."
        ) from None


def _check(database: sqlite3.Connection, shown: str, write: bool) -> None:
    (mark,) = database.execute("PRAGMA application_id").fetchone()
    version = _form(database)
    if mark == _MARK and version > VERSION:
        raise Refusal(
            f"{shown}: found readings of a newer hollowglow (form {version}), expected form {VERSION}. "
            "Install the newer version."
        )
    if mark == _MARK:
        if write and version < 2:
            # What an earlier version kept stays; its intensities compare nothing across kinds.
            database.executescript(
                "BEGIN IMMEDIATE; ALTER TABLE taking ADD COLUMN across TEXT NOT NULL DEFAULT ''; "
                f"PRAGMA user_version = {VERSION}; COMMIT;"
            )
        return
    (tables,) = database.execute("SELECT count(*) FROM sqlite_master").fetchone()
    if tables or mark or not write:
        raise Refusal(f"{shown}: found a database of something else, expected readings. Move it away to begin anew.")
    with database:
        # One script in one transaction: a file is either whole or empty.
        database.executescript(
            f"BEGIN; {_TABLES} PRAGMA application_id = {_MARK}; PRAGMA user_version = {VERSION}; COMMIT;"
        )


def _form(database: sqlite3.Connection) -> int:
    (version,) = database.execute("PRAGMA user_version").fetchone()
    return int(version)
