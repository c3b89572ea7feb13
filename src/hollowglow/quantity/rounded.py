"""Numbers as documents have them: rounded, and null where there is none."""

from __future__ import annotations

import math
from typing import Any


def plain(value: float, digits: int = 6) -> float | None:
    """Return a number for JSON, None where there is none (not finite)."""
    return round(float(value), digits) if math.isfinite(value) else None


def plain_tree(value: Any, digits: int = 9) -> Any:
    """Return tables and lists of values for JSON: tuples as lists, every float as `plain` has it."""
    if isinstance(value, dict):
        return {k: plain_tree(v, digits) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain_tree(v, digits) for v in value]
    return plain(value, digits) if isinstance(value, float) else value
