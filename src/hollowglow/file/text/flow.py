"""Plain data written as YAML: on one line, or its entries a line each."""

from __future__ import annotations

import json
import math
import re
from typing import Any

# A word, a quantity, or a length in feet and inches.
_PLAIN = re.compile(r"[A-Za-z][\w ./%+-]*|-?\d+(?:\.\d+)?(?: [A-Za-z%]\w*)?|-?(?:\d+ ft )?\d+(?:(?: \d+)?/\d+)? in")
_WORDS = ("true", "false", "yes", "no", "on", "off", "null", "y", "n")
# Letters that YAML wants spelt inside quotes and JSON leaves as they are.
_SPELLED = re.compile("[\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff]")


def flow_key(key: str) -> str:
    """Return a key as YAML reads it back."""
    return flow(key)


def flow(value: Any) -> str:
    """Return plain data on one line of YAML."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{flow_key(str(k))}: {flow(v)}" for k, v in value.items()) + "}"
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(flow(v) for v in value) + "]"
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return _number(value)
    if isinstance(value, int):
        return repr(value)
    text = str(value)
    plain = _PLAIN.fullmatch(text) and text.lower() not in _WORDS and text == text.strip()
    if plain and not re.fullmatch(r"-?\d[\d.]*", text):
        return text
    return _SPELLED.sub(lambda m: f"\\u{ord(m.group()):04x}", json.dumps(text, ensure_ascii=False))


def _number(value: float) -> str:
    if not math.isfinite(value):
        return ".nan" if math.isnan(value) else (".inf" if value > 0.0 else "-.inf")
    text = repr(value)
    # Without a point other readers take a power of ten for a text.
    return text.replace("e", ".0e") if "e" in text and "." not in text else text


def nested(value: Any) -> bool:
    """Return whether a list or a table holds a list or a table."""
    inner = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    return any(isinstance(v, (list, dict)) for v in inner)


def block(value: Any, indent: int) -> list[str]:
    """Return the lines of a list or a table under a key of an indent; what is inside its entries is written in braces."""
    space = " " * (indent + 2)
    if isinstance(value, dict):
        return [f"{space}{flow_key(str(k))}: {flow(v)}" for k, v in value.items()]
    return [f"{space}- {flow(v)}" for v in value]
