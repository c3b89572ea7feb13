"""The text of a display file as plain data, with the line of every key kept."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from strandwright.display.units import show
from strandwright.errors import DisplayError, Problem

Key = tuple[str | int, ...]

MOST_BYTES = 64 * 2**20
MOST_DEPTH = 40
MOST_ALIASED = 100_000


@dataclass
class Source:
    """Plain data (dicts, lists, scalars) of one file; `lines` maps a path of keys to its line, counted from 1."""

    file: str
    data: Any
    lines: dict[Key, int] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)

    def line(self, path: Key) -> int | None:
        """Return the line of the nearest key on the way to `path` that stands in the file."""
        for end in range(len(path), -1, -1):
            if path[:end] in self.lines:
                return self.lines[path[:end]]
        return None


def spell(path: Key) -> str:
    """Return a path of keys as a person would point at it: strings.rail.feeds[2].length."""
    text = ""
    for key in path:
        text += f"[{key + 1}]" if isinstance(key, int) else ("." if text else "") + str(key)
    return text


def read_text(path: Path) -> str:
    """Return the text of a display file.

    Raises:
        DisplayError: when it is missing, a folder, unreadable, too large, binary, not UTF-8 or empty.
    """
    file = str(path)

    def refuse(found: str, expected: str, mend: str = "", line: int | None = None) -> DisplayError:
        return DisplayError(file, [Problem("", found, expected, mend, line)])

    want = "a display file (YAML text)"
    try:
        if path.is_dir():
            raise refuse("a folder", want, "Name the file inside it.")
        if path.exists() and not path.is_file():
            raise refuse("something that is not a regular file", want)
        if path.stat().st_size > MOST_BYTES:
            raise refuse(f"a file of {path.stat().st_size / 2**20:.0f} MiB", f"at most {MOST_BYTES // 2**20} MiB")
        raw = path.read_bytes()
    except FileNotFoundError:
        mend = "Check the name, or start from the demo: strandwright demo."
        raise refuse("no file of this name", want, mend) from None
    except PermissionError:
        raise refuse("a file that may not be read", "permission to read it", "Change its permissions.") from None
    except OSError as error:
        raise refuse(f"a file that cannot be read ({error.strerror})", want) from None
    except ValueError:
        raise refuse("a name that no file can have", want) from None
    if not raw.strip():
        raise refuse("an empty file", want, "Start from the demo: strandwright demo.")
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise refuse("UTF-16 text", "UTF-8 text", "Save it again as UTF-8.")
    zero = raw.find(b"\x00")
    if zero >= 0:
        line = raw.count(b"\n", 0, zero) + 1
        raise refuse("a binary file (it holds a zero byte)", want, line=line)
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        byte = f"the byte 0x{raw[error.start]:02x}, which is not UTF-8"
        raise refuse(byte, "UTF-8 text", "Save it again as UTF-8.", line) from None


def read_source(path: Path) -> Source:
    """Return the plain data of a display file with its lines; see `read_text` and `parse_text` for what is refused."""
    return parse_text(read_text(path), str(path))


def parse_text(text: str, file: str) -> Source:
    """Return YAML text as plain data.

    Duplicate keys, odd tags and aliases that grow out of hand are kept in `problems`, so that they are told together
    with whatever else is wrong.

    Raises:
        DisplayError: when the text is not YAML at all, or its top is not a table of keys.
    """
    from ruamel.yaml import YAML
    from ruamel.yaml.error import MarkedYAMLError, YAMLError

    def refuse(found: str, line: int | None, mend: str = "") -> DisplayError:
        return DisplayError(file, [Problem("", found, "YAML text", mend, line)])

    try:
        node = YAML(typ="rt", pure=True).compose(text)
    except MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        words = " ".join(str(error.problem or error.context or "something else").split())
        mend = "Use spaces, not tabs, to indent." if "\\t" in words else ""
        raise refuse(f"text that YAML cannot read ({words})", mark.line + 1 if mark else None, mend) from None
    except YAMLError as error:
        words = " ".join(str(error).split())[:160]
        raise refuse(f"text that YAML cannot read ({words})", None) from None
    except RecursionError:
        raise refuse("lists or tables nested without end", None) from None
    except (ValueError, IndexError, TypeError, AttributeError, AssertionError, KeyError) as error:
        raise refuse(f"text that YAML cannot read ({type(error).__name__})", None) from None
    source = Source(file, None)
    if node is not None:
        source.data = _Reader(source).read(node, (), (), False)
    if not isinstance(source.data, dict) and not source.problems:
        found = "no keys at all" if source.data is None else show(source.data)
        expected = 'a table of keys that starts with "display: a name"'
        raise DisplayError(file, [Problem("", found, expected, "Start from the demo: strandwright demo.", 1)])
    if not isinstance(source.data, dict):
        raise DisplayError(file, source.problems)
    return source


class _Reader:
    """Turns composed nodes into plain data; counts what aliases bring in again."""

    def __init__(self, source: Source) -> None:
        self.source = source
        self.seen: set[int] = set()
        self.aliased = 0

    def problem(self, path: Key, node: Any, found: str, expected: str, mend: str = "") -> None:
        line = node.start_mark.line + 1
        self.source.problems.append(Problem(spell(path), found, expected, mend, line))

    def read(self, node: Any, path: Key, above: tuple[int, ...], aliased: bool) -> Any:
        if path not in self.source.lines:
            self.source.lines[path] = node.start_mark.line + 1
        if id(node) in above:
            self.problem(path, node, "an alias that contains itself", "plain values")
            return None
        if len(above) >= MOST_DEPTH:
            self.problem(path, node, f"tables nested more than {MOST_DEPTH} deep", "a display file")
            return None
        aliased = aliased or id(node) in self.seen
        self.seen.add(id(node))
        if aliased:
            self.aliased += 1
            if self.aliased > MOST_ALIASED:
                if self.aliased == MOST_ALIASED + 1:
                    found = f"aliases that stand for more than {MOST_ALIASED:,} values"
                    self.problem(path, node, found, "fewer", "Write them out, or use extends.")
                return None
        kind = type(node).__name__
        if kind == "MappingNode":
            return self.mapping(node, path, (*above, id(node)), aliased)
        if kind == "SequenceNode":
            inner = (*above, id(node))
            return [self.read(item, (*path, i), inner, aliased) for i, item in enumerate(node.value)]
        return self.scalar(node, path)

    def mapping(self, node: Any, path: Key, above: tuple[int, ...], aliased: bool) -> dict[str, Any]:
        result: dict[str, Any] = {}
        for key_node, value_node in node.value:
            if type(key_node).__name__ != "ScalarNode":
                self.problem(path, key_node, "a key that is a list or a table", "a word as key")
                continue
            key = str(key_node.value)
            here = (*path, key)
            if key in result:
                first = self.source.lines.get(here)
                self.problem(here, key_node, f"the key {show(key)} again", f"it once (first in line {first})")
                continue
            self.source.lines[here] = key_node.start_mark.line + 1
            result[key] = self.read(value_node, here, above, aliased)
        return result

    def scalar(self, node: Any, path: Key) -> Any:
        text: str = node.value
        tag = str(node.ctag if hasattr(node, "ctag") else node.tag).removeprefix("tag:yaml.org,2002:")
        tag = tag.removeprefix("!!")
        if tag in ("str", "timestamp", "merge", "value"):
            return text
        if tag == "null":
            return None
        if tag == "bool":
            return text.lower() in ("true", "yes", "on")
        if tag == "int":
            try:
                return int(text.replace("_", ""), 0 if text.lower().lstrip("+-").startswith(("0x", "0o")) else 10)
            except ValueError:
                return text
        if tag == "float":
            try:
                return float(text.replace("_", "").replace(".inf", "inf").replace(".nan", "nan").lower())
            except ValueError:
                return text
        self.problem(path, node, f"the tag {show(tag)}", "plain values without tags")
        return None
