"""Running the installed command as a person does: in a process of its own, with or without a terminal."""

import fcntl
import io
import json
import os
import pty
import re
import select
import struct
import subprocess
import sys
import termios
import time
from collections.abc import Callable
from contextlib import chdir, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from unittest.mock import patch

from hollowglow.cli.run import _run
from tests.net.listening import heeding

COMMAND = [sys.executable, "-m", "hollowglow"]
PATIENCE_S = 300.0
_ESCAPE = re.compile(rb"\x1b\[[0-9;?]*[A-Za-z]")


def environment(**more: str) -> dict[str, str]:
    """What the command gets: nothing that a test run or a terminal may have set."""
    dropped = ("COLUMNS", "LINES", "NO_COLOR", "FORCE_COLOR", "TERM", "PYTHONIOENCODING", "PYTHONUTF8")
    kept = {k: v for k, v in os.environ.items() if k not in dropped and not k.startswith("HOLLOWGLOW_")}
    return kept | {"TERM": "xterm", "PYTHONUTF8": "1"} | more


def run(*arguments: str | Path, cwd: Path | None = None, **more: str) -> subprocess.CompletedProcess[str]:
    """Run a command to its end, without a terminal."""
    return subprocess.run(
        [*COMMAND, *map(str, arguments)],
        cwd=cwd,
        env=environment(**more),
        stdin=subprocess.DEVNULL,
        capture_output=True,
        encoding=more.get("PYTHONIOENCODING", "utf-8"),
        timeout=PATIENCE_S,
        check=False,
    )


def run_here(*arguments: str | Path, lines: str = "", cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    """Run a command in this process, as `run` does in another: for what it says and does, where not how a process ends
    is the question. It takes a tenth of the time.
    """
    out, err = io.StringIO(), io.StringIO()
    ours, theirs = os.pipe()
    os.write(theirs, lines.encode())
    os.close(theirs)
    argv, stdin = sys.argv, sys.stdin
    # Without a terminal there are eighty columns, also where the tests themselves run on a wider one.
    with (
        os.fdopen(ours, encoding="utf-8") as entered,
        redirect_stdout(out),
        redirect_stderr(err),
        patch.dict(os.environ, environment(COLUMNS="80"), clear=True),
        chdir(cwd or Path.cwd()),
    ):
        sys.argv, sys.stdin = ["hollowglow", *map(str, arguments)], entered
        try:
            status = _run()
        finally:
            sys.argv, sys.stdin = argv, stdin
    return subprocess.CompletedProcess(sys.argv, status, out.getvalue(), err.getvalue())


def no_traceback(done: subprocess.CompletedProcess[str]) -> None:
    assert "Traceback" not in done.stdout + done.stderr
    assert "Exception ignored" not in done.stderr


@dataclass
class OnTerminal:
    """How a command on a terminal ended."""

    status: int
    shown: str
    seconds: float


def run_on_terminal(
    *arguments: str | Path,
    columns: int = 100,
    shows: str = "both",
    when_shown: Callable[[subprocess.Popen[bytes]], None] | None = None,
    **more: str,
) -> OnTerminal:
    """Run a command on a terminal of its own.

    Args:
        arguments: of the command.
        columns: how wide the terminal is.
        shows: what the terminal shows: "both" streams, or "stderr" alone.
        when_shown: called once, as soon as letters are shown and not only what moves the cursor.
        more: environment variables.
    """
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 50, columns, 0, 0))
    start = time.monotonic()
    process = subprocess.Popen(
        [*COMMAND, *map(str, arguments)],
        env=environment(**more),
        stdin=subprocess.DEVNULL,
        stdout=theirs if shows == "both" else subprocess.DEVNULL,
        stderr=theirs,
        preexec_fn=heeding,
    )
    os.close(theirs)
    shown = b""
    try:
        while time.monotonic() - start < PATIENCE_S:
            if not select.select([ours], [], [], 1.0)[0]:
                continue
            try:
                piece = os.read(ours, 65536)
            except OSError:  # the other end is closed
                break
            if not piece:
                break
            shown += piece
            if when_shown is not None and re.search(rb"[a-z]{2}", _ESCAPE.sub(b"", shown)):
                when_shown(process)
                when_shown = None
        status = process.wait(timeout=PATIENCE_S)
    finally:
        process.kill()
        os.close(ours)
    return OnTerminal(status, shown.decode("utf-8", "replace").replace("\r\n", "\n"), time.monotonic() - start)


def big_display(strings: int) -> str:
    """A display file whose currents sag so far that solving it takes many seconds."""
    span = {"length": "100 mm", "joint": "splice-solder"}
    data: dict[str, Any] = {
        "display": "Big",
        "supplies": {"shed": {"voltage": "12 V", "rating": "5000 W"}},
        "controllers": {"box": {"outputs": strings, "nodes_per_output": 100_000}},
        "kinds": {
            "ball": {
                "fill": {"light": "bullet-12mm-12v", "count": 4, "wiring": {"length": "80 mm"}},
                "pigtail": {"length": "150 mm"},
            }
        },
        "strings": {
            f"row{i}": {
                "output": f"box/{i}",
                "supply": "shed",
                "props": "200 * ball",
                "lead": {"length": "4 m"},
                "span": span,
            }
            for i in range(1, strings + 1)
        },
    }
    return json.dumps(data)
