"""Editing a display file's text: only the lines that an edit is about change, every other byte stays."""

from __future__ import annotations

from collections.abc import Sequence

from hollowglow.file.text import splices
from hollowglow.file.text.commands import (
    Edit,
    Insert,
    Move,
    Path,
    Put,
    Remove,
    Rename,
    applied,
    from_json,
    merged,
    words_of,
)
from hollowglow.file.text.layout import TextSpot, read_layout
from hollowglow.file.text.source import parse_text
from hollowglow.messages.errors import DisplayError
from hollowglow.messages.refusal import Refusal

__all__ = ["Edit", "Insert", "Move", "Put", "Remove", "Rename", "edited", "from_json", "merged", "words_of"]


def edited(text: str, edits: Sequence[Edit], file: str = "display") -> str:
    """Return the text of a display file with edits carried out, one after the other.

    What the new text states is read back and compared with the same edits on plain data.

    Raises:
        DisplayError: when the text is no YAML.
        Refusal: when a place is not there, or the text cannot be edited without changing what else it states.
    """
    made = _spliced(text, list(edits), file)
    if made == text:
        return text
    wanted = applied(parse_text(text, file).data, tuple(edits))
    try:
        stated = parse_text(made, file).data
    except DisplayError:
        stated = None
    # As text, because to Python 1, 1.0 and true are the same, and the order of keys counts for nothing.
    if repr(stated) != repr(wanted):
        raise Refusal(
            f"{file} cannot be edited ({words_of(tuple(edits))}) without changing what else it states, because of how it is "
            "written there. Make this change by hand."
        )
    return made


def _spliced(text: str, left: list[Edit], file: str) -> str:
    while left:
        # Places that are apart are edited together, because reading a long file again takes a while.
        tree = read_layout(text, file)
        found: list[splices.Splice] = []
        done: list[Edit] = []
        later: list[Edit] = []
        for edit in left:
            if any(_related(edit, one) for one in (*later, *done)):
                later.append(edit)
                continue
            own = _of(text, tree, edit)
            if any(a.start <= b.end and b.start <= a.end for a in own for b in found):
                later.append(edit)
            else:
                found += own
                done.append(edit)
        for splice in sorted(found, key=lambda s: (-s.start, -s.end)):
            text = text[: splice.start] + splice.text + text[splice.end :]
        left = later
    return text


def _of(text: str, tree: TextSpot | None, edit: Edit) -> list[splices.Splice]:
    match edit:
        case Put():
            return splices.put(text, tree, edit.path, edit.value)
        case Remove():
            return splices.remove(text, tree, edit.path)
        case Insert():
            return splices.insert(text, tree, edit.path, edit.value, edit.before)
        case Move():
            return splices.move(text, tree, edit.path, edit.source, edit.target)
    return splices.rename(text, tree, edit.path, edit.name)


def _related(edit: Edit, other: Edit) -> bool:
    """Return whether one edit may be about something that the other one makes, moves or takes away."""
    plain = isinstance(edit, Put) and isinstance(other, Put)
    return any(_near(one, two, plain) for one in _paths(edit) for two in _paths(other))


def _paths(edit: Edit) -> tuple[Path, ...]:
    """Return the places that an edit is about: a new name is one, too."""
    return (edit.path, (*edit.path[:-1], edit.name)) if isinstance(edit, Rename) else (edit.path,)


def _near(path: Path, other: Path, plain: bool) -> bool:
    shared = min(len(path), len(other), 2)
    if path[:shared] == other[:shared]:
        return True
    # What an emptied table, or a list in another order, becomes depends on all that is in it.
    return not plain and (path[:-1] == other[:-1] or path[:1] == other[:1])
