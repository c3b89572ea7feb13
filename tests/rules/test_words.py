"""Standard words win: what was said before is said nowhere, in keys, commands, pages, book, code and docs.

The words that are gone stand here in rot13, so that a search for them finds no line of ours.
"""

import codecs
import re
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click
import pytest
from tools.command_keys import COMMAND_KEYS
from tools.json_keys import JSON_KEYS

from hollowglow.cli.main import hollowglow
from hollowglow.jobs.start.schema import display_schema

ROOT = Path(__file__).resolve().parents[2]


def gone(words: str) -> frozenset[str]:
    return frozenset(codecs.decode(words, "rot13").split("|"))


# Wherever they would stand: as a word by itself, in any case.
ANYWHERE = gone(
    "fgenaqjevtug|onyynfg|onyynfgf|fvax|fvaxf|ohpx|ohpxf|rirarffnf|rirarff|rirarrff|riraarff|rkvg_senpgvba|i_gbtrgure|fuvsg_hi"
    "|pbybhe-fuvsg|frnepu-sbe-avtug"
)
PHRASES = gone(
    "qenj znal naq pbhag|fraq qnexarff|zraq vg</n>|jnl bhg:|gnxra sbe tenagrq|ybbx svefg|ybbx ng gurz|srrg svefg|zrgerf svefg"
    "|fuvsg bs juvgr|juvgr vf gvagrq|sebz gur fhccyl gb gur ynfg cebc|ubyybjtybj fpnggre|ubyybjtybj ercynl|ubyybjtybj zrgre"
    "|--qenjf|--pnc |--cersre rira|ybnq ynj|yrg tb.|fpnggre bs cnegf"
)
COMMANDS = gone("fpnggre|ercynl|zrgre")
OPTIONS = gone("--qenjf|--pnc")
TWO_MEANINGS = frozenset({"--from", "--only"})
FILE_KEYS = gone("rirarff|riraarff|rkvg_senpgvba|qenjf|pryyf|cynva|zngr|erfvqhny|fuvsg_hi")
FILE_VALUES = gone("fvax|onyynfg|ohpx|fpnggre")
JSON = gone("gbtrgure|i_gbtrgure|riraarff|rkvg_senpgvba|qenjf|fuvsg_hi|fpnggre|grfg_cerff")


def tracked() -> Iterator[tuple[str, str]]:
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    for name in listed.splitlines():
        if name == "CHANGELOG.md" or name.startswith("lock/"):
            continue
        try:
            yield name, (ROOT / name).read_text(encoding="utf-8")
        except (UnicodeDecodeError, FileNotFoundError):  # a picture; a file that is being moved
            continue


def test_no_file_says_a_word_that_is_gone() -> None:
    word = re.compile(r"(?<![a-z])(?:" + "|".join(map(re.escape, sorted(ANYWHERE))) + r")(?![a-z])", re.IGNORECASE)
    phrase = re.compile("|".join(map(re.escape, sorted(PHRASES))), re.IGNORECASE)
    files = list(tracked())
    assert len(files) > 800
    found = [f"{name}: {hit.group()}" for name, text in files for kind in (word, phrase) for hit in kind.finditer(text)]
    assert found == []


def commands(group: click.Group = hollowglow) -> Iterator[click.Command]:
    for command in group.commands.values():
        yield command
        if isinstance(command, click.Group):
            yield from commands(command)


def test_commands_and_options_have_the_standard_names() -> None:
    names = {str(command.name) for command in commands()}
    assert names >= {"tolerance", "characterise", "analyse"}
    assert names & COMMANDS == set()
    options = {option for command in commands() for parameter in command.params for option in parameter.opts}
    assert "--samples" in options
    assert options & OPTIONS == set()


def test_an_option_that_names_a_folder_says_folder() -> None:
    told = {p.metavar or "" for command in commands() for p in command.params}
    assert "FOLDER" in told
    assert "DIR" not in told


def test_an_option_that_had_two_meanings_takes_one_sort_of_value() -> None:
    taken: dict[str, set[str]] = {}
    for command in commands():
        for parameter in command.params:
            for option in set(parameter.opts) & TWO_MEANINGS:
                taken.setdefault(option, set()).add(str(parameter.metavar))
    assert {option: sorts for option, sorts in taken.items() if len(sorts) > 1} == {}


def walk(part: Any) -> Iterator[tuple[str, Any]]:
    if isinstance(part, dict):
        yield from part.items()
        for value in part.values():
            yield from walk(value)
    elif isinstance(part, list):
        for value in part:
            yield from walk(value)


def test_keys_of_the_file_have_the_standard_names() -> None:
    schema = display_schema()
    keys = {name for key, value in walk(schema) if key == "properties" for name in value}
    assert keys >= {"samples", "batteries", "consumable", "mating", "rcd"}
    assert keys & FILE_KEYS == set()
    values = {
        str(v) for key, value in walk(schema) if key in ("const", "enum") for v in (value if key == "enum" else [value])
    }
    assert {"constant-current", "constant-power", "resistor"} <= values
    assert values & FILE_VALUES == set()


@pytest.mark.parametrize("tables", [JSON_KEYS, *COMMAND_KEYS.values()])
def test_keys_of_the_documents_have_the_standard_names(tables: Any) -> None:
    keys = {name for _, table in tables.values() for name in table}
    assert keys
    assert keys & JSON == set()
    assert not any(path.split(".")[-1] in JSON for path in tables)


def test_steps_of_a_fade_are_called_so() -> None:
    assert "fade_steps" in {name for _, table in JSON_KEYS.values() for name in table}
