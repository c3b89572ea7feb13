"""Writes the generated documents: findings, JSON keys, words, agreement with published values."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

from hollowglow.analysis.findings import CODES
from hollowglow.file.reading.inheritance import SECTIONS
from hollowglow.messages.words import WORDS as SAID
from tools.agreement import groups
from tools.agreement_rows import Row, difference, significant
from tools.command_keys import COMMAND_KEYS, told_once
from tools.file_keys import FILE_KEYS
from tools.glossary import SEVERAL_UNITS, WORDS
from tools.json_keys import JSON_KEYS

DOCS = Path(__file__).resolve().parent.parent / "docs"
MADE = "Made by `python -m tools.docs`; a test compares.\n"
Keys = Mapping[str, tuple[str, str]]


def table(columns: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    """Return a table in Markdown."""
    head = list(columns)
    lines = [head, ["---"] * len(head), *rows]
    return "".join("| " + " | ".join(cell.replace("|", "\\|") for cell in line) + " |\n" for line in lines)


def _key_table(keys: Keys) -> str:
    return table(("key", "unit", "meaning"), ((f"`{name}`", unit, meaning) for name, (unit, meaning) in keys.items()))


def findings() -> str:
    """Return docs/findings.md: every finding code."""
    counts = {s: sum(1 for c in CODES.values() if c.severity == s) for s in ("stop", "warn", "note")}
    words = ", ".join(f"{n} `{s}`" for s, n in counts.items() if n)
    text = (
        "# Findings\n\n"
        f"What the tool can notice: {len(CODES)} codes ({words}). `stop`: do not build or energise it like this, and\n"
        "the exit status is 1. `warn`: it will work, but not well or not for long. Each finding names the things it is\n"
        "about, gives numbers, the source of its limit and a way out. Limits named as the display's own are set under\n"
        "`limits` in the file.\n\n"
    )
    rows = ((f"`{name}`", c.severity, SAID[name].title, SAID[name].explanation, c.basis) for name, c in CODES.items())
    return text + table(("code", "severity", "title", "explanation", "basis of its limit"), rows) + "\n" + MADE


def json_keys() -> str:
    """Return docs/json.md: every key of the JSON document."""
    text = (
        "# The JSON document\n\n"
        "`hollowglow plan FILE --json PATH` writes one document, `--json -` to standard output and nothing else\n"
        "there. Numbers are plain, in the unit given here; null stands where there is no number. `currency` is the\n"
        "display's own. `hollowglow plan FILE --csv FOLDER` writes the long tables, the bill and the address table as\n"
        "CSV with the same columns. The documents of other commands follow after that of the plan.\n"
    )
    for path, (about, keys) in JSON_KEYS.items():
        text += f"\n## {f'`{path}`' if path else 'Top'}\n\n{about}.\n\n" + _key_table(keys)
    for command, tables in COMMAND_KEYS.items():
        text += f"\n# `{command} --json`\n"
        for about, paths, keys in told_once(tables).values():
            named = ", ".join(f"`{path}`" for path in paths if path)
            text += f"\n## {f'{command}: {named}' if named else f'{command}: top'}\n\n{about}.\n\n" + _key_table(keys)
    return text + "\n" + MADE


def words() -> str:
    """Return docs/words.md: the glossary and every key of a display file."""
    text = "# Words\n\nOne word, one meaning, in the file, the code and on the screen.\n\n"
    text += table(("word", "meaning"), WORDS.items())
    text += (
        "\n# The display file\n\n"
        "Every quantity is written with its unit (`6 ft`, `18 AWG`, `0.75 mm2`, `12 V`, `80 %`); the unit here is the\n"
        "one that it has inside. NAME stands for a name that you choose. `hollowglow schema` prints the JSON Schema.\n"
        "\n"
        f"`extends` may stand in every entry of {', '.join(f'`{s}`' for s in SECTIONS)}: the name of another entry\n"
        "of the same section, whose keys count where this one states none.\n"
    )
    for path, (about, keys) in FILE_KEYS.items():
        text += f"\n## {f'`{path}`' if path else 'Top'}\n\n{about}.\n\n" + _key_table(keys)
    text += (
        "\n# Names with more than one meaning\n\n"
        "All other names have one unit wherever they stand, in the file and in the [JSON document](json.md).\n\n"
    )
    return (
        text
        + table(("name", "where it means what"), ((f"`{n}`", why) for n, why in SEVERAL_UNITS.items()))
        + "\n"
        + MADE
    )


def agreement() -> str:
    """Return docs/agreement.md: published values beside ours."""
    text = (
        "# Agreement\n\n"
        "Published values, as printed, beside what the tool's own functions give. The tests also solve circuits with\n"
        "ngspice and compare every voltage.\n"
    )
    for group in groups():
        rows = (_compared(row) for row in group.rows)
        text += f"\n## {group.title}\n\nSource: {group.source}.\n\n"
        text += table(("quantity", "published", "ours", "difference", "reason"), rows)
    return text + "\n" + MADE


def _compared(row: Row) -> tuple[str, ...]:
    found = difference(row)
    published = row.published if row.unit == "-" else f"{row.published} {row.unit}"
    return row.quantity, published, significant(row.ours), found, "-" if found == "none" else row.reason


def documents() -> dict[str, str]:
    """Return every generated document by its file name."""
    return {
        "findings.md": findings(),
        "json.md": json_keys(),
        "words.md": words(),
        "agreement.md": agreement(),
    }


def main() -> None:
    """Write every generated document into docs."""
    for name, text in documents().items():
        (DOCS / name).write_text(text, encoding="utf-8")
        print(f"wrote docs/{name}")


if __name__ == "__main__":
    main()
