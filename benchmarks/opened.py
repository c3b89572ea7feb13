"""A workbench opened on a display file, and the browser that looks at it."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright

from benchmarks.child import hollowglow

CHROMIUM = "/usr/bin/chromium"
# Without these Chromium looks for updates and other hosts when it starts.
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update"]
FLAGS += ["--disable-sync"]
_PATIENCE_S = 60.0


@contextmanager
def workbench(file: Path) -> Iterator[str]:
    """Yield the address of a workbench with a display on it."""
    process = subprocess.Popen(
        hollowglow("open", str(file), "--no-browser"),
        stdout=subprocess.PIPE, stdin=subprocess.DEVNULL, text=True,
    )  # fmt: skip
    try:
        assert process.stdout is not None
        found = re.search(r"http://\S+/", process.stdout.readline())
        if found is None:
            raise RuntimeError("the workbench told no address")
        yield found.group()
    finally:
        process.terminate()
        process.wait(_PATIENCE_S)


@contextmanager
def chromium() -> Iterator[Browser]:
    """Yield a headless browser."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield browser
        browser.close()
