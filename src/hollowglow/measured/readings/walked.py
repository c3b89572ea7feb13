"""What a person saw while walking a display: answers in SQLite beside the display file, each under its maker's own id."""

from __future__ import annotations

import sqlite3
from dataclasses import astuple, dataclass
from pathlib import Path

from hollowglow.measured.readings.store import opened, store_path

# Made where they are missing, so that readings kept by an earlier version take answers too.
_TABLES = (
    """CREATE TABLE IF NOT EXISTS walk_answer (
        id TEXT PRIMARY KEY,
        at TEXT NOT NULL,
        step TEXT NOT NULL,
        target TEXT NOT NULL,
        answer TEXT NOT NULL,
        seen TEXT NOT NULL,
        note TEXT NOT NULL
    )""",
    "CREATE TABLE IF NOT EXISTS walk_place (one INTEGER PRIMARY KEY CHECK (one = 1), step TEXT NOT NULL)",
)


@dataclass(frozen=True, slots=True)
class Answered:
    """One answer.

    Attributes:
        id: made by whoever asks, so that sending it twice keeps it once.
        at: ISO 8601, UTC.
        step: sort of the step: prop, string, order and so on.
        target: id of what was lit: a prop, a string, an output, a supply.
        answer: lit, dark, wrong colour, flickers, dim or out of order.
        seen: colours that the person saw, such as grbw; empty where not asked.
        note: what the person added.
    """

    id: str
    at: str
    step: str
    target: str
    answer: str
    seen: str = ""
    note: str = ""


def keep_answer(display: Path | str, answer: Answered) -> bool:
    """Keep an answer beside a display file; return False where it was kept before and nothing changes.

    Raises:
        Refusal: the file cannot be written, or is no store of readings.
    """
    with opened(store_path(display), write=True) as database, database:
        _prepare(database)
        done = database.execute("INSERT OR IGNORE INTO walk_answer VALUES (?, ?, ?, ?, ?, ?, ?)", astuple(answer))
        return done.rowcount == 1


def answered(display: Path | str) -> tuple[Answered, ...]:
    """Return all answers of a display file, the oldest first; none where nobody walked.

    Raises:
        Refusal: the file cannot be read, or is no store of readings.
    """
    columns = "id, at, step, target, answer, seen, note"
    return tuple(
        Answered(*row) for row in _rows(display, "walk_answer", f"SELECT {columns} FROM walk_answer ORDER BY at, rowid")
    )


def keep_place(display: Path | str, step: str) -> None:
    """Keep at which step a walk stands, so that the next one goes on from there.

    Raises:
        Refusal: the file cannot be written, or is no store of readings.
    """
    with opened(store_path(display), write=True) as database, database:
        _prepare(database)
        database.execute("INSERT OR REPLACE INTO walk_place VALUES (1, ?)", (step,))


def place_of(display: Path | str) -> str | None:
    """Return the step at which the last walk stood, None where nobody walked; raises as `answered` does."""
    rows = _rows(display, "walk_place", "SELECT step FROM walk_place")
    return str(rows[0][0]) if rows else None


def _prepare(database: sqlite3.Connection) -> None:
    for table in _TABLES:
        database.execute(table)


def _rows(display: Path | str, table: str, query: str) -> list[tuple[str, ...]]:
    path = store_path(display)
    if not path.exists():
        return []
    with opened(path, write=False) as database:
        if not database.execute("SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = ?", (table,)).fetchone():
            return []
        return database.execute(query).fetchall()
