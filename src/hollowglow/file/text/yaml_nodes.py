"""YAML text as a tree of nodes with lines, or one plain sentence about why it is no YAML."""

from __future__ import annotations

import re
from typing import Any

from ruamel.yaml import YAML
from ruamel.yaml.composer import Composer
from ruamel.yaml.error import MarkedYAMLError, YAMLError

from hollowglow.messages.errors import DisplayError, Problem
from hollowglow.quantity.shown import cut, show

MOST_DEPTH = 40

_UNREADABLE = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_QUOTES = "Put the whole text in quotes."


class _TooDeepError(Exception):
    """Nesting beyond what a display file needs; carries the line."""


class _Composer(Composer):
    """Composes nodes, notes which of them carry a tag of their own, and stops where nesting gets out of hand."""

    def __init__(self, *arguments: Any, **options: Any) -> None:
        super().__init__(*arguments, **options)
        self.warn_double_anchors = False
        self.nested = 0
        self.tagged: dict[int, str] = {}

    def compose_node(self, parent: Any, index: Any) -> Any:
        event = self.loader.parser.peek_event()
        if self.nested > MOST_DEPTH:
            raise _TooDeepError(event.start_mark.line + 1)
        self.nested += 1
        try:
            node: Any = super().compose_node(parent, index)
        finally:
            self.nested -= 1
        tag = getattr(event, "ctag", None)
        if tag is not None and node is not None:
            self.tagged[id(node)] = str(tag)
        return node


def compose(text: str, file: str) -> tuple[Any, dict[int, str]]:
    """Return the root node of YAML text (None where there is none), and the tags that the text states, by node id.

    Raises:
        DisplayError: with one problem, when the text is not YAML.
    """

    def refuse(found: str, line: int | None, expected: str = "YAML text", mend: str = "") -> DisplayError:
        return DisplayError(file, [Problem("", found, expected, mend, line)])

    bad = _UNREADABLE.search(text.removeprefix("\ufeff"))
    if bad is not None:
        at = text.count("\n", 0, bad.start()) + 1
        raise refuse(f"the control character {show(bad.group())}", at, "plain text", "Delete it.")
    yaml = YAML(typ="rt", pure=True)
    yaml.Composer = _Composer
    try:
        node = yaml.compose(text)
    except _TooDeepError as error:
        raise refuse(f"lists or tables nested more than {MOST_DEPTH} deep", error.args[0], "a display file") from None
    except MarkedYAMLError as error:
        found, line, mend = _words(error)
        raise refuse(found, line, "YAML text", mend) from None
    except YAMLError as error:
        raise refuse(f"text that YAML cannot read ({cut(' '.join(str(error).split()), 160)})", None) from None
    except (ValueError, IndexError, TypeError, AttributeError, AssertionError, KeyError, RecursionError) as error:
        # ruamel.yaml trips over some broken texts itself
        raise refuse(f"text that YAML cannot read ({type(error).__name__})", None) from None
    return node, yaml.composer.tagged


def _words(error: Any) -> tuple[str, int | None, str]:
    """Return (found, line, mend) for what the YAML reader says."""
    problem = " ".join(str(error.problem or error.context or "").split())
    context = str(error.context or "")
    here = error.problem_mark.line + 1 if error.problem_mark else None
    start = error.context_mark.line + 1 if error.context_mark else here
    if "\\t" in problem:
        return "a tab where YAML wants spaces", here, "Use spaces, not tabs, to indent."
    if (first := re.match(r"found character (?:'(.)'|\"(')\") that cannot start", problem)) is not None:
        return f'text that starts with "{first.group(1) or first.group(2)}"', here, _QUOTES
    if "flow mapping" in context or "flow sequence" in context:
        opened, closed = ("{", "}") if "mapping" in context else ("[", "]")
        if start == here:
            mend = f'Write a comma between entries, a space after ":", and "{closed}" at the end.'
            return f'a part in "{opened}" that does not end well', here, mend
        return f'"{opened}" that is not closed before line {here}', start, f'Put "{closed}" at its end.'
    if "quoted scalar" in context:
        return "a quote that is opened and not closed", start, "Put the same quote at the end of the text."
    if "mapping values are not allowed" in problem:
        mend = 'Keys of one table start in one column; text with ":" in it needs quotes.'
        return 'a ":" where no key can be', here, mend
    if "block mapping" in context or "block collection" in context or "could not find expected ':'" in problem:
        mend = "Keys of one table start in one column, and each has a colon and a space after it."
        return "a line that does not fit the lines around it", here, mend
    if (alias := re.search(r"undefined alias '(.+)'", problem)) is not None:
        return f'"*{cut(alias.group(1))}", an alias that nothing defines', here, _QUOTES
    if "another document" in problem:
        return "a second document", here, "Keep one display in one file, without lines of --- or ..."
    return f"text that YAML cannot read ({cut(problem, 160)})", here, ""
