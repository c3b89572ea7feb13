"""A command run in a process of its own, with the time and memory that it alone took."""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

_FOUND = 1


@dataclass(frozen=True)
class Spent:
    """What a command took: wall time (s) and peak resident memory (bytes)."""

    wall_s: float
    peak_bytes: int


def run(command: list[str], shows: str = "") -> Spent:
    """Return what a command takes that has done its work.

    The peak counts from the fork, so the caller has to be smaller than the command if it is to mean anything.

    Args:
        command: and its arguments.
        shows: a text that its standard output holds when it has worked.

    Raises:
        RuntimeError: when it fails. A plan with a stop finding ends with 1, and so does a Python that falls over,
            so for that status the output decides.
    """
    with tempfile.TemporaryFile("w+", encoding="utf-8") as out, tempfile.TemporaryFile("w+", encoding="utf-8") as err:
        begin = time.perf_counter()
        child = subprocess.Popen(command, stdout=out, stderr=err)
        _, status, usage = os.wait4(child.pid, 0)
        wall = time.perf_counter() - begin
        child.returncode = os.waitstatus_to_exitcode(status)
        out.seek(0)
        err.seek(0)
        printed, said = out.read(), err.read()
    worked = child.returncode == 0 or (child.returncode == _FOUND and shows and "Traceback" not in said)
    if not worked or shows not in printed:
        raise RuntimeError(f"{' '.join(command)} ended with status {child.returncode} and said: {said[-2000:]}")
    unit = 1 if sys.platform == "darwin" else 1024
    return Spent(wall, usage.ru_maxrss * unit)


def hollowglow(*arguments: str) -> list[str]:
    """Return the command line of hollowglow in this environment: the installed script, as a person runs it."""
    script = Path(sys.executable).with_name("hollowglow")
    return [str(script), *arguments] if script.exists() else [sys.executable, "-m", "hollowglow", *arguments]
