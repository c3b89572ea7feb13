"""A workbench as a person starts it, and a real browser that notices whatever a page should not do."""

from __future__ import annotations

import json
import os
import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit
from urllib.request import Request, urlopen

import pytest
from playwright.sync_api import Browser, Page, expect, sync_playwright

from hollowglow.plan import Plan
from tests.web.lit import PATIENCE_S, SMALL, Ear

# What a page comes to show is what is asked; how soon depends on what else this machine does.
expect.set_options(timeout=1000 * PATIENCE_S)

CHROMIUM = "/usr/bin/chromium"
# Without these Chromium looks for updates and other hosts when it starts.
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--disable-background-networking"]
FLAGS += ["--disable-component-update", "--disable-sync", "--no-first-run"]


def from_npm(package: str, file: str) -> Path:
    """Return a file of a package that `start.py --test` installed from npm."""
    path = Path(sys.prefix, "node", "node_modules", package, file)
    if not path.is_file():
        raise RuntimeError(f"{package} is not installed from npm; python3 start.py --test does it")
    return path


def serious(page: Page) -> list[str]:
    """Return what axe-core finds on a page that keeps someone from using it."""
    page.evaluate(from_npm("axe-core", "axe.min.js").read_text(encoding="utf-8"))
    found = page.evaluate("axe.run({resultTypes: ['violations']})")["violations"]
    return [
        f"{one['id']}: {one['help']}: {node['html'][:200]} {node['failureSummary']}"
        for one in found
        if one["impact"] in ("serious", "critical")
        for node in one["nodes"]
    ]


@dataclass
class Bench:
    """A running workbench: its file, its address, its process, and whether long work left something behind."""

    file: Path
    address: str
    process: subprocess.Popen[str]
    worn: bool = False

    @property
    def text(self) -> str:
        return self.file.read_text(encoding="utf-8")


def tab_of(browser: Browser, bench: Bench, room: str = "", there: str = ".finding", **context: Any) -> Iterator[Page]:
    """Yield a page at a workbench; asking another host for anything, or an error in its console, fails the test."""
    made = browser.new_context(**({"viewport": {"width": 1280, "height": 900}} | context))
    made.set_default_timeout(1000 * PATIENCE_S)
    page = made.new_page()
    strangers: list[str] = []
    errors: list[str] = []
    ours = urlsplit(bench.address).netloc

    def asked(url: str) -> None:
        parts = urlsplit(url)
        if parts.scheme in ("http", "https", "ws", "wss") and parts.netloc != ours:
            strangers.append(url)
        bench.worn = bench.worn or parts.path == "/errand"

    page.on("request", lambda request: asked(request.url))
    page.on("console", lambda message: errors.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.goto(bench.address + room)
    page.locator(there).first.wait_for()
    yield page
    made.close()
    assert not strangers
    # A refused change is answered with its status, which Chromium tells in the console.
    assert not [e for e in errors if not re.search(r"status of (409|422)", e)]


def start(file: Path, *options: str) -> Bench:
    """Start the workbench on a file and wait until it has told its address."""
    process = subprocess.Popen(
        [sys.executable, "-m", "hollowglow", "open", str(file), "--no-browser", *options],
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
    bench.process.wait(PATIENCE_S)
    if bench.process.stdout is not None:
        bench.process.stdout.close()


def until(holds: Callable[[], object]) -> None:
    """Wait until something holds; fail where it does not in time.

    For a page too: Playwright's own wait for a function asks a second time from within the page, by `eval`, which the
    pages forbid.
    """
    stop = time.monotonic() + PATIENCE_S
    while not holds():
        assert time.monotonic() < stop, "it did not come to hold in time"
        time.sleep(0.02)


def settled(bench: Bench) -> None:
    """Wait until the numbers are those of the file."""

    def current() -> object:
        with urlopen(bench.address + "overview.json", timeout=PATIENCE_S) as answer:
            return json.load(answer)["current"]

    until(current)


def quiet(page: Page) -> None:
    """Wait until a page shows the newest there is and no plan is being computed.

    What is exchanged or moved between pressing a button and letting go of it loses the click.
    """
    changes = urlsplit(page.url)._replace(path="/changes", query="", fragment="").geturl()

    def newest() -> bool:
        with urlopen(changes, timeout=PATIENCE_S) as news:
            version = news.readline().decode().removeprefix("data:").strip()
        shown = page.locator("body").get_attribute("data-version")
        return shown == version and page.locator("#news progress").count() == 0

    until(newest)


def press(page: Page, name: str, exact: bool = True) -> None:
    """Press a button on a page that rests, and wait until the server has done what it stands for."""
    quiet(page)
    with page.expect_response(lambda answer: answer.request.method == "POST"):
        page.get_by_role("button", name=name, exact=exact).click()


def workers(bench: Bench) -> list[int]:
    """Return the processes that a workbench computes in."""
    children = Path(f"/proc/{bench.process.pid}/task/{bench.process.pid}/children")
    found = []
    for pid in children.read_text(encoding="ascii").split():
        with suppress(FileNotFoundError, ProcessLookupError):  # it has just ended
            if b"spawn_main" in Path(f"/proc/{pid}/cmdline").read_bytes():
                found.append(int(pid))
    return found


@contextmanager
def held(bench: Bench) -> Iterator[None]:
    """Keep long work that was just begun from ending before the block does, however quick this machine is."""
    until(lambda: len(workers(bench)) == 2)  # that of the plan, and that of the work
    stopped = workers(bench)
    for pid in stopped:
        os.kill(pid, signal.SIGSTOP)
    try:
        yield
    finally:
        for pid in stopped:
            with suppress(ProcessLookupError):
                os.kill(pid, signal.SIGCONT)


@pytest.fixture
def ear() -> Iterator[Ear]:
    """Yield a receiver on loopback."""
    made = Ear()
    yield made
    made.close()


def bench_on(file: Path, text: str) -> Iterator[Bench]:
    """Yield a workbench of its own on a display that is written first."""
    file.write_text(text, encoding="utf-8")
    made = start(file)
    yield made
    end(made)


@pytest.fixture
def demo_file(tmp_path: Path) -> Path:
    """Return a copy of the demo display, as first drawn."""
    from hollowglow.jobs.start.demo import write_demo

    return write_demo(tmp_path)[0]


@pytest.fixture
def small_file(tmp_path: Path) -> Path:
    """Return a small display whose plan is there at once."""
    path = tmp_path / "small.yaml"
    path.write_text(SMALL, encoding="utf-8")
    return path


@pytest.fixture(scope="session")
def demo_plan(tmp_path_factory: pytest.TempPathFactory) -> Plan:
    """Return the plan of the demo, as first drawn."""
    from hollowglow.jobs import plan_file
    from hollowglow.jobs.start.demo import write_demo

    return plan_file(write_demo(tmp_path_factory.mktemp("demo"))[0])


@pytest.fixture(scope="module")
def benches(tmp_path_factory: pytest.TempPathFactory) -> Iterator[list[Bench]]:
    """Yield the one workbench that the tests of a module share, none before the first needs it."""
    made: list[Bench] = []
    yield made
    for one in made:
        end(one)


@pytest.fixture
def bench(benches: list[Bench], demo_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Bench:
    """Return a workbench with the demo as first drawn on it, whatever the test before did."""
    if benches and benches[0].worn:
        end(benches.pop())
    if not benches:
        file = tmp_path_factory.mktemp("bench") / demo_file.name
        shutil.copy(demo_file, file)
        benches.append(start(file))
        return benches[0]
    made = benches[0]
    shutil.copy(demo_file, made.file)
    shutil.rmtree(made.file.parent / ".hollowglow", ignore_errors=True)
    with urlopen(Request(made.address + "read-again", b"", {"origin": made.address.rstrip("/")}), timeout=PATIENCE_S):
        pass
    settled(made)
    return made


# Not for the whole run: while Playwright is there, no other test can have an event loop of its own.
@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Yield Debian's Chromium."""
    with sync_playwright() as playwright:
        made = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield made
        made.close()


@pytest.fixture
def tab(browser: Browser, bench: Bench) -> Iterator[Page]:
    """Yield a page at the workbench with the demo on it."""
    yield from tab_of(browser, bench)
