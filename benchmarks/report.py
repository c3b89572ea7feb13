"""The measured rows as a table with the date and the size of the machine, in the terminal and in a document."""

from __future__ import annotations

import os
import platform
from datetime import date
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from benchmarks.rows import Row
from hollowglow import __version__

BEGIN, END = "<!-- measured: begin -->", "<!-- measured: end -->"
_PACKAGES = ("numpy", "scipy", "pydantic", "ruamel.yaml", "hollowglow")


def machine() -> str:
    """Return the date, the size of this machine, and the versions that matter, in one line."""
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    parts = [f"{date.today():%Y-%m-%d}", f"{cores} cores"]
    if hasattr(os, "sysconf"):
        parts.append(f"{os.sysconf('SC_PAGE_SIZE') * os.sysconf('SC_PHYS_PAGES') / 2**30:.0f} GiB of memory")
    parts.append(f"{platform.system()} {platform.machine()}")
    parts.append(f"Python {platform.python_version()}")
    return ", ".join(parts + [f"{name} {_version(name)}" for name in _PACKAGES])


def _version(name: str) -> str:
    """Return the version of a package; of this one its own word where it is run from its folder."""
    try:
        return version(name)
    except PackageNotFoundError:
        if name != "hollowglow":
            raise
        return __version__


def busy() -> str:
    """Return how busy the machine was with other things before the first measurement."""
    return f"Load average before the first measurement: {os.getloadavg()[0]:.1f}." if hasattr(os, "getloadavg") else ""


def verdict(row: Row) -> str:
    """Return whether a row meets its target, in a word."""
    return "" if row.met is None else "met" if row.met else "NOT MET"


def line(row: Row) -> str:
    """Return a row for the terminal."""
    amount = f"{row.value} {row.unit}".strip()
    target = f"({row.target}: {verdict(row)})" if row.target else ""
    return f"  {row.what}: {amount} {target}".rstrip()


def table(title: str, rows: list[Row]) -> str:
    """Return the rows of one benchmark as Markdown."""
    text = [f"### {title}", "", "| what | measured | target | |", "| --- | --- | --- | --- |"]
    for row in rows:
        cells = (row.what, f"{row.value} {row.unit}".strip(), f"{row.target} {row.unit if row.target else ''}".strip())
        text.append("| " + " | ".join(cell.replace("|", "/") for cell in cells) + f" | {verdict(row)} |")
    return "\n".join(text)


def write(path: Path, measured: str) -> None:
    """Put what was measured between the two marks of a document, which has to hold them already."""
    text = path.read_text(encoding="utf-8")
    before, begin, rest = text.partition(BEGIN)
    _, end, after = rest.partition(END)
    if not begin or not end:
        raise ValueError(f"{path} lacks the lines {BEGIN} and {END}, between which the tables go")
    path.write_text(f"{before}{BEGIN}\n\n{measured}\n\n{END}{after}", encoding="utf-8")
