"""Runs the benchmarks: python -m benchmarks [--only NAME] [--write docs/benchmarks.md]."""

from __future__ import annotations

import argparse
import importlib
import importlib.util
import subprocess
import sys
import time
from pathlib import Path

from benchmarks import report

# Commands come first: peak memory of a child counts from its fork, so this process must still be small.
NAMES = (
    "start",
    "size",
    "feeding",
    "photo",
    "against_spice",
    "deep_knees",
    "verdicts",
    "book",
    "light",
    "match",
    "shorts",
    "tolerance",
    "hearing",
    "live",
    "show",
    "glow",
    "workbench",
    "placing",
)


def main() -> int:
    """Run what was asked for and return 1 where a target was not met."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks", description=__doc__.partition(":")[0] + ".")
    parser.add_argument("--only", choices=NAMES, metavar="NAME", help=f"run one of {', '.join(NAMES)}")
    parser.add_argument("--write", type=Path, metavar="FILE", help="put the tables into this document")
    asked = parser.parse_args()
    if asked.only and asked.write:
        parser.error("--write needs all benchmarks, so that the document holds one run; leave --only out")
    head, busy = report.machine(), report.busy()
    print(f"{head}\n{busy}".rstrip(), flush=True)
    _compile()
    begin = time.perf_counter()
    tables, missed = [], 0
    for name in [asked.only] if asked.only else NAMES:
        module = importlib.import_module(f"benchmarks.{name}")
        print(f"\n{module.TITLE}", flush=True)
        rows = []
        for row in module.rows():
            rows.append(row)
            print(report.line(row), flush=True)
        tables.append(report.table(module.TITLE, rows))
        missed += sum(row.met is False for row in rows)
    took = time.perf_counter() - begin
    print(f"\n{missed} targets not met; {took:.0f} s in all.")
    if asked.write:
        report.write(asked.write, "\n\n".join([f"{head}.\n{busy} The run took {took:.0f} s.", *tables]))
    return 1 if missed else 0


def _compile() -> None:
    """Compile the package as pip does when it installs it; a checkout may never have been allowed to keep that."""
    found = importlib.util.find_spec("hollowglow")
    for folder in (found.submodule_search_locations or ()) if found is not None else ():
        subprocess.run([sys.executable, "-m", "compileall", "-q", folder], check=False)


if __name__ == "__main__":
    sys.exit(main())
