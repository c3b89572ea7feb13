"""A workbench as a person starts it, and a real browser that notices whatever a page should not do."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

CHROMIUM = "/usr/bin/chromium"
# Without these Chromium looks for updates and other hosts when it starts.
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--disable-background-networking"]
FLAGS += ["--disable-component-update", "--disable-sync", "--no-first-run"]


@dataclass(frozen=True)
class Bench:
    """A running workbench: its file, its address, its process."""

    file: Path
    address: str
    process: subprocess.Popen[str]

    @property
    def text(self) -> str:
        return self.file.read_text(encoding="utf-8")


def start(file: Path, *options: str) -> Bench:
    """Start the workbench on a file and wait until it has told its address."""
    process = subprocess.Popen(
        [sys.executable, "-m", "strandwright", "open", str(file), "--no-browser", *options],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        stdin=subprocess.DEVNULL,
        text=True,
        env=os.environ | {"PYTHONUNBUFFERED": "1"},
    )
    assert process.stdout is not None
    line = process.stdout.readline()
    found = re.search(r"http://127\.0\.0\.1:\d+/", line)
    assert found is not None, line + process.stdout.read()
    return Bench(file, found.group(), process)


def end(bench: Bench) -> None:
    """End a workbench the way Ctrl-C does."""
    bench.process.terminate()
    bench.process.wait(10)
    if bench.process.stdout is not None:
        bench.process.stdout.close()


@pytest.fixture
def demo_file(tmp_path: Path) -> Path:
    """Return a copy of the demo display, as first drawn."""
    from strandwright.jobs.demo import write_demo

    return write_demo(tmp_path)[0]


@pytest.fixture
def bench(demo_file: Path) -> Iterator[Bench]:
    """Yield a workbench with the demo on it."""
    made = start(demo_file)
    yield made
    end(made)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Yield Debian's Chromium."""
    with sync_playwright() as playwright:
        made = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield made
        made.close()


@pytest.fixture
def tab(browser: Browser, bench: Bench) -> Iterator[Page]:
    """Yield a page at the workbench; asking another host for anything, or an error in its console, fails the test."""
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    page = context.new_page()
    strangers: list[str] = []
    errors: list[str] = []
    ours = urlsplit(bench.address).netloc

    def asked(url: str) -> None:
        parts = urlsplit(url)
        if parts.scheme in ("http", "https", "ws", "wss") and parts.netloc != ours:
            strangers.append(url)

    page.on("request", lambda request: asked(request.url))
    page.on("console", lambda message: errors.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.goto(bench.address)
    page.locator(".finding").first.wait_for(timeout=30_000)
    yield page
    context.close()
    assert not strangers
    # A refused change is answered with its status, which Chromium tells in the console.
    assert not [e for e in errors if not re.search(r"status of (409|422)", e)]
