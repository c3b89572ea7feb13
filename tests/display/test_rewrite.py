"""Edits leave everything else in a display file as its owner wrote it, and never half a file."""

from __future__ import annotations

import errno
import os
import stat
from importlib.resources import files
from pathlib import Path
from typing import Any, NoReturn

import pytest

from strandwright.display.rewrite import rewrite, rewritten
from strandwright.errors import DisplayError, UseError

TEXT = """\
# The jetty, second winter
display: 'Jetty'   # a name
ambient: 5 degC

supplies:
    shed: {voltage: 12 V, rating: 100 W}   # under the bench
levels: {}
"""


def warmer(data: Any) -> None:
    data["ambient"] = "7 degC"


def written(path: Path, text: str = TEXT) -> Path:
    path.write_bytes(text.encode("utf-8"))
    return path


@pytest.mark.parametrize("name", ["landing.yaml", "landing-mended.yaml"])
def test_an_edit_of_nothing_changes_nothing(name: str) -> None:
    text = (files("strandwright") / "demo" / name).read_text(encoding="utf-8")
    assert rewritten(text, lambda data: None) == text
    assert rewritten(TEXT, lambda data: None) == TEXT


@pytest.mark.parametrize("text", [TEXT, TEXT.replace("\n", "\r\n"), TEXT.rstrip("\n")], ids=["lines", "crlf", "no end"])
def test_an_edit_changes_its_own_line_alone(tmp_path: Path, text: str) -> None:
    path = written(tmp_path / "a.yaml", text)
    rewrite(path, warmer)
    assert path.read_bytes().decode("utf-8") == text.replace("5 degC", "7 degC")


@pytest.mark.parametrize(
    "listed", ["  - {light: spark}\n", "- {light: spark}\n", "    - {light: spark}\n", "  -   {light: spark}\n"]
)
def test_lists_keep_their_indentation(listed: str) -> None:
    text = f"display: A\nkinds:\n{listed}"
    assert rewritten(text, lambda data: None) == text


def test_a_file_keeps_its_mode_and_a_link_stays_a_link(tmp_path: Path) -> None:
    path = written(tmp_path / "a.yaml")
    path.chmod(0o640)
    link = tmp_path / "link.yaml"
    link.symlink_to(path)
    rewrite(link, warmer)
    assert link.is_symlink()
    assert stat.S_IMODE(path.stat().st_mode) == 0o640
    assert "7 degC" in path.read_text(encoding="utf-8")


def test_an_edit_that_makes_no_display_is_not_written(tmp_path: Path) -> None:
    path = written(tmp_path / "a.yaml")
    with pytest.raises(DisplayError, match="line 3, ambient"):
        rewrite(path, lambda data: data.__setitem__("ambient", "7 V"))
    assert path.read_text(encoding="utf-8") == TEXT


@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_full_disk_leaves_the_file_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str) -> None:
    def full(*_: Any) -> NoReturn:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    path = written(tmp_path / "a.yaml")
    monkeypatch.setattr(os, step, full)
    with pytest.raises(UseError) as error:
        rewrite(path, warmer)
    assert str(error.value) == f"{path} cannot be written (No space left on device). It is as it was."
    assert path.read_text(encoding="utf-8") == TEXT
    assert [p.name for p in tmp_path.iterdir()] == ["a.yaml"]
