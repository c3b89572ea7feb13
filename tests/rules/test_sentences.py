"""Facts stay facts until they are read: options are named by the command line alone, and no sentence of ours is cut up."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import hollowglow
from hollowglow.cli.main import hollowglow as names

SOURCE = Path(hollowglow.__file__).parent
OPTION = re.compile(r"(?<![\w-])--[a-z][a-z-]*")
# Parameters of drawings' styles look like options.
STYLE = re.compile(r"--sw-")

# Modules that look into text with regular expressions, each with who wrote that text. What another module of ours says is
# data: who needs a part of it asks for that part.
OTHERS_TEXT = {
    "analysis/circuit/characterise/readings.py": "a person's readings of a meter",
    "analysis/site/placement/imports.py": "SVG and CSV of other programs",
    "assembly/ids.py": "ids that a person typed",
    "book/letters.py": "SVG that the typesetter wrote, and names of letters in Unicode",
    "book/typeset.py": "names that a person gave, broken at the right places whoever wrote them",
    "cli/terminal/keys.py": "what a terminal sends for a key",
    "draw/forms/package.py": "names that a person gave, as XML and folders allow them",
    "draw/labels/label_sheet.py": "names that a person gave, broken into lines",
    "draw/labels/sheets.py": "the sheet that a person asked for",
    "draw/sheet/layout.py": "any text, broken into lines with numbers and units together",
    "draw/sheet/svg.py": "names that a person gave, as XML allows them",
    "file/history.py": "names of files",
    "file/model/display.py": "a person's file",
    "file/model/fields.py": "a person's file",
    "file/model/kind.py": "a person's file",
    "file/model/setting.py": "a person's file",
    "file/reading/catalogue.py": "the catalogue, a file as a person writes it",
    "file/reading/equal_defaults.py": "keys of a person's file",
    "file/reading/load.py": "names in a person's file",
    "file/reading/references.py": "names in a person's file",
    "file/store/writing.py": "names of files",
    "file/text/commas.py": "a person's file",
    "file/text/flow.py": "values as a person's file spells them",
    "file/text/layout.py": "a person's file",
    "file/text/source.py": "a person's file",
    "file/text/splices.py": "a person's file",
    "file/text/yaml_nodes.py": "a person's file, and what the YAML reader says of it",
    "jobs/matching/conditions.py": "distances that a person typed",
    "jobs/shows/light.py": "a colour or a prop that a person typed",
    "jobs/site/backdrops.py": "names of files",
    "jobs/start/first_string.py": "names that a person typed",
    "measured/meter.py": "a person's reading of a meter",
    "measured/photo/exposure.py": "exposures that a person typed",
    "measured/photo/labels.py": "labels that a person typed",
    "net/addresses.py": "an address that a person typed",
    "quantity/units.py": "quantities that a person typed",
    "quantity/written.py": "a person's file",
    "web/phone/answers.py": "ids that a phone sends",
}


def modules() -> Iterator[tuple[str, ast.Module]]:
    for path in sorted(SOURCE.rglob("*.py")):
        yield path.relative_to(SOURCE).as_posix(), ast.parse(path.read_text(encoding="utf-8"))


def said(module: ast.AST) -> Iterator[str]:
    """What a module has between quotes, documentation left out."""
    documented = (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)
    docs = {
        id(node.body[0].value)
        for node in ast.walk(module)
        if isinstance(node, documented) and node.body and isinstance(node.body[0], ast.Expr)
    }
    for node in ast.walk(module):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs:
            yield node.value


def options_in(module: ast.Module) -> list[str]:
    return [text for text in said(module) if OPTION.search(text) and not STYLE.search(text)]


def test_no_option_is_named_outside_of_the_command_line() -> None:
    named = {name: options_in(module) for name, module in modules() if not name.startswith("cli/")}
    assert {name: texts for name, texts in named.items() if texts} == {}


COMMAND = re.compile(rf"\b(?:{'|'.join(names.commands)})\b")


def commands_refused(module: ast.Module) -> list[int]:
    """Lines of refusals that name a command in their text instead of a use case."""
    return [
        node.lineno
        for node in ast.walk(module)
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id in ("Refusal", "wrong")
        and any(f"hollowglow {found}" in text for text in said(node) for found in COMMAND.findall(text))
    ]


def test_no_refusal_names_a_command() -> None:
    named = {name: commands_refused(module) for name, module in modules() if not name.startswith("cli/")}
    assert {name: lines for name, lines in named.items() if lines} == {}


def test_options_are_found_where_they_are() -> None:
    module = ast.parse('"""--share."""\nf"--to: found {x}"\n"give --yes-public."\n"a--b"')
    assert sorted(options_in(module)) == ["--to: found ", "give --yes-public."]


def uses_patterns(module: ast.Module) -> bool:
    return any(
        (isinstance(node, ast.Import) and any(name.name in ("re", "regex") for name in node.names))
        or (isinstance(node, ast.ImportFrom) and node.module in ("re", "regex"))
        for node in ast.walk(module)
    )


def test_regular_expressions_look_only_into_what_somebody_else_wrote() -> None:
    assert {name for name, module in modules() if uses_patterns(module)} == OTHERS_TEXT.keys()


# How sentences are cut without a regular expression.
CUTTING = ("removeprefix", "removesuffix", "partition", "rpartition", "replace", "split", "startswith", "endswith")
ERRORS = ("error", "err", "exc", "refusal", "refused", "problem")


def cuts(module: ast.Module) -> list[int]:
    """Lines where something is cut out of what an error says, or looked for in it."""
    found = []
    for node in ast.walk(module):
        if (
            isinstance(node, ast.Call)
            and isinstance(node.func, ast.Attribute)
            and node.func.attr in CUTTING
            and node.args
        ):
            looked_into = node.func.value
        elif isinstance(node, ast.Compare) and any(isinstance(op, ast.In | ast.NotIn) for op in node.ops):
            looked_into = node.comparators[-1]
        else:
            continue
        if isinstance(looked_into, ast.Call) and isinstance(looked_into.func, ast.Name):
            told = looked_into.func.id in ("str", "of_error", "told") and looked_into.args
            if told and isinstance(looked_into.args[0], ast.Name) and looked_into.args[0].id in ERRORS:
                found.append(node.lineno)
    return found


def test_what_an_error_says_is_not_looked_into() -> None:
    assert {name: cuts(module) for name, module in modules() if cuts(module)} == {}


@pytest.mark.parametrize("line", ["str(error).removeprefix('x')", "'KIND' in str(error)", "told(error).split(',')"])
def test_looking_into_what_an_error_says_is_found(line: str) -> None:
    assert cuts(ast.parse(line)) == [1]
