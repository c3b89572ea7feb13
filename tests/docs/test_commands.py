"""Every command and option that a document names is one that there is, and the README names every command."""

from __future__ import annotations

import re
from pathlib import Path

import click
import pytest

from hollowglow.cli.main import hollowglow
from hollowglow.jobs.export.forms import FORMS

ROOT = Path(__file__).resolve().parents[2]
DOCUMENTS = ["README.md", "CHANGELOG.md", *sorted(f"docs/{p.name}" for p in (ROOT / "docs").glob("*.md"))]
# What follows a command's name in prose or in a block, up to the end of its line or of its code span.
CALL = re.compile(r"hollowglow ([a-z]+)\b([^`\n]*)")


def options(command: click.Command) -> set[str]:
    """Every spelling of a command's options."""
    return {name for one in command.params for name in (*one.opts, *one.secondary_opts)} | {"--help", "-h"}


@pytest.mark.parametrize("name", DOCUMENTS)
def test_a_document_names_options_that_there_are(name: str) -> None:
    text = (ROOT / name).read_text(encoding="utf-8")
    for called, rest in CALL.findall(text):
        command = hollowglow.commands.get(called)
        if command is not None:
            # A second command of the same line has options of its own.
            stated = re.findall(r"(?<![\w-])--[a-z][a-z-]*", rest.partition("hollowglow ")[0].partition("#")[0])
            assert set(stated) <= options(command), f"{name}: hollowglow {called}{rest}"


def test_the_readme_names_every_command_and_no_other() -> None:
    block = (ROOT / "README.md").read_text(encoding="utf-8").partition("## Commands")[2].partition("\n## ")[0]
    named = re.findall(r"^    hollowglow ([a-z]+)", block, flags=re.MULTILINE)
    assert set(named) == set(hollowglow.commands)


def test_the_help_of_export_names_every_form() -> None:
    words = hollowglow.commands["export"].help or ""
    assert [form.name for form in FORMS if form.name.upper() not in words] == []
