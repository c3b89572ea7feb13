"""Changing a display file as its owner would: comments, order and layout stay, and it is written whole or not at all."""

from __future__ import annotations

import io
import os
import re
import tempfile
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any

from ruamel.yaml import YAML

from strandwright.display.files import read_text
from strandwright.display.load import load_text
from strandwright.display.words import visible
from strandwright.errors import UseError

_WIDEST = 4096
_INDENTED = re.compile(r"^( +)(?=[^\s#-])", re.MULTILINE)
_LISTED = re.compile(r"^( *)[^\s#][^\n]*:[ \t]*(?:#[^\n]*)?\n(?:\s*#[^\n]*\n)*( *)-( +)", re.MULTILINE)


def rewritten(text: str, change: Callable[[Any], None]) -> str:
    """Return the text of a display file with a change made to it.

    Args:
        text: of the file, which has been read without a problem.
        change: gets the file's tables as ruamel.yaml holds them, comments and all, and changes them in place.
    """
    yaml = YAML(typ="rt", pure=True)
    yaml.preserve_quotes = True
    yaml.width = _WIDEST
    lines = text.replace("\r\n", "\n")
    step = min((len(m.group(1)) for m in _INDENTED.finditer(lines)), default=2)
    listed = _LISTED.search(lines)
    dash = len(listed.group(2)) - len(listed.group(1)) if listed else 0
    gap = len(listed.group(3)) if listed else 1
    yaml.indent(mapping=step, sequence=max(dash, 0) + 1 + gap, offset=max(dash, 0))
    data = yaml.load(lines)
    change(data)
    stream = io.StringIO()
    yaml.dump(data, stream)
    made = stream.getvalue()
    made = made if text.endswith("\n") else made.rstrip("\n")
    return made.replace("\n", "\r\n") if "\r\n" in text else made


def rewrite(path: Path | str, change: Callable[[Any], None]) -> None:
    """Change a display file in place.

    Args:
        path: of the file.
        change: as for `rewritten`.

    Raises:
        DisplayError: when the file cannot be read, or what came out is no display; the file is then as it was.
        UseError: when it cannot be written.
    """
    path = Path(path)
    text = read_text(path)
    load_text(text, visible(str(path)))
    made = rewritten(text, change)
    load_text(made, visible(str(path)))
    replace_text(path, made)


def replace_text(path: Path, text: str) -> None:
    """Put a text in a file's place, all of it or nothing; what a link points at is replaced, its mode kept.

    Raises:
        UseError: when the folder may not be written or the disk is full.
    """
    temporary: Path | None = None
    try:
        real = Path(os.path.realpath(path))
        with tempfile.NamedTemporaryFile(
            "w", encoding="utf-8", newline="", dir=real.parent, prefix=f".{real.name}.", delete=False
        ) as stream:
            temporary = Path(stream.name)
            stream.write(text)
            stream.flush()
            os.fsync(stream.fileno())
        os.chmod(temporary, real.stat().st_mode & 0o777)
        os.replace(temporary, real)
        temporary = None
    except OSError as error:
        told = f"{visible(str(path))} cannot be written ({error.strerror or error}). It is as it was."
        raise UseError(told) from None
    finally:
        if temporary is not None:
            with suppress(OSError):
                temporary.unlink()
