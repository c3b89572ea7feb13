"""What a person types into a field, what the file says there, and the way from one to the other."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any
from urllib.parse import urlsplit

from ruamel.yaml import YAML
from ruamel.yaml.error import YAMLError

from hollowglow.file.text.commands import Path
from hollowglow.messages.refusal import Refusal

__all__ = ["Path", "as_typed", "at", "back_to", "plain", "read_path", "read_plain", "typed"]


def plain(text: str) -> Any:
    """Return what a display file says as plain data, without its defaults."""
    return YAML(typ="safe", pure=True).load(text)


def at(data: Any, path: Path) -> Any:
    """Return what plain data holds at a path of keys and places in lists, None where it says nothing there."""
    for key in path:
        if isinstance(data, list) and isinstance(key, int) and 0 <= key < len(data):
            data = data[key]
        elif isinstance(data, Mapping):
            data = data.get(key)
        else:
            return None
    return data


def read_path(text: str) -> Path:
    """Return the path of keys that a form's field is named after; raises Refusal where it is none."""
    try:
        path = json.loads(text)
    except ValueError:
        path = None
    if not (isinstance(path, list) and path and all(_is_key(key) for key in path)):
        raise Refusal("The form names no place in the display file. Load the page again.")
    return tuple(path)


def read_plain(text: str) -> Any:
    """Return what a form says the file held; raises Refusal where that is no JSON."""
    try:
        return json.loads(text)
    except ValueError:
        raise Refusal("The form does not say what the display file held. Load the page again.") from None


def back_to(address: str) -> str:
    """Return where a form leads back to: a path of this very server, whatever it was sent.

    >>> back_to("/feed?string=gable"), back_to("//elsewhere.example/x"), back_to("https://elsewhere.example")
    ('/feed?string=gable', '/overview', '/overview')
    """
    try:
        parts = urlsplit(address)
    except ValueError:
        return "/overview"
    ours = not parts.scheme and not parts.netloc and parts.path.startswith("/") and not parts.path.startswith("//")
    if not ours or "\\" in address or any(ord(letter) < 32 for letter in address):
        return "/overview"
    return parts.path + (f"?{parts.query}" if parts.query else "")


def _is_key(key: object) -> bool:
    return (isinstance(key, str) and key != "") or (type(key) is int and key >= 0)


def typed(text: str) -> Any:
    """Return what a person typed as the file will say it: a number, yes or no, a list, a table, else the words themselves.

    >>> typed(" 1.8 m "), typed("12"), typed("0.5"), typed("true"), typed("[1, 2]"), typed("")
    ('1.8 m', 12, 0.5, True, [1, 2], None)
    """
    text = text.strip()
    if not text:
        return None
    if text in ("true", "false"):
        return text == "true"
    if text[0] in "[{":
        try:
            return YAML(typ="safe", pure=True).load(text)
        except YAMLError:
            return text
    for number in (int, float):
        try:
            value = number(text)
        except ValueError:
            continue
        return value if value == value and abs(value) != float("inf") else text
    return text


def as_typed(value: Any) -> str:
    """Return a value of the file as a person would type it.

    >>> as_typed("1.8 m"), as_typed(12), as_typed(True), as_typed(None), as_typed(["a", 2])
    ('1.8 m', '12', 'true', '', '[a, 2]')
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        return f"[{', '.join(as_typed(v) for v in value)}]"
    if isinstance(value, Mapping):
        return f"{{{', '.join(f'{k}: {as_typed(v)}' for k, v in value.items())}}}"
    return str(value)
