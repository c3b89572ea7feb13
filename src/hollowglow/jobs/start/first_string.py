"""The next line of a display file that has no strings yet."""

from __future__ import annotations

import json
import re

from hollowglow.file import Display

_YAML_WORDS = ("true", "false", "yes", "no", "on", "off", "null", "y", "n")


def next_line(display: Display) -> str:
    """Return a line that may be added to the file of a display without strings; after some of them it has one."""
    if not display.supplies:
        return "supplies: {shed: {voltage: 12 V, rating: 60 W}}"
    if not display.controllers:
        return "controllers: {box: {outputs: 2}}"
    if not display.kinds:
        return "kinds: {float: {fill: {light: bullet-12mm-12v, count: 4}}}"
    controller, supply, kind = (next(iter(names)) for names in (display.controllers, display.supplies, display.kinds))
    output, props = _text(f"{controller}/1"), _text(f"3 * {kind}")
    fed = f"output: {output}, supply: {_text(supply)}, props: {props}"
    return f"strings: {{rail: {{{fed}, lead: {{length: 4 m}}, span: {{length: 1.8 m}}}}}}"


def _text(words: str) -> str:
    """Return words as YAML reads them back inside braces: in quotes unless they are plainly a text."""
    plain = re.fullmatch(r"(?:\d+ \* )?[A-Za-z][\w /-]*", words) and words.lower() not in _YAML_WORDS
    return words if plain else json.dumps(words, ensure_ascii=False)
