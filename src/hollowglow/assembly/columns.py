"""Columns of a table while it grows, string by string."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields
from typing import Any, TypeVar

import numpy as np

Table = TypeVar("Table")


class Columns:
    """Columns of a table, gathered string by string; a scalar stands for a whole column of its string."""

    def __init__(self, table: type[Any]) -> None:
        self.names = [f.name for f in fields(table)]
        self.pieces: dict[str, list[Any]] = {name: [] for name in self.names}
        self.rows = 0

    def add(self, rows: int, **columns: Any) -> None:
        for name in self.names:
            column = columns[name]
            whole = isinstance(column, np.ndarray) and column.shape == (rows,)
            self.pieces[name].append(column if whole else np.full(rows, column))
        self.rows += rows

    def column(self, name: str) -> Any:
        kind = np.float64 if name.endswith(("ohm", "_m", "_a", "count")) else np.int64
        pieces = self.pieces[name]
        return np.concatenate(pieces).astype(kind, copy=False) if pieces else np.zeros(0, kind)

    def table(self, make: Callable[..., Table]) -> Table:
        return make(**{name: self.column(name) for name in self.names})
