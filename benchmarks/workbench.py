"""How long a person waits at the workbench: for the first page, and for the numbers after an edit."""

from __future__ import annotations

import json
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlencode
from urllib.request import Request, urlopen

from playwright.sync_api import Browser

from benchmarks.child import hollowglow, run
from benchmarks.displays import write_display
from benchmarks.opened import chromium, workbench
from benchmarks.rows import Row, at_most, plain

TITLE = "The workbench: the first page from the command, and results after the edit of one field, best of 3"
PAINT_S = 2.0
DEMO_EDIT_S = 0.5
LARGE_EDIT_S = 2.0
TIMES = 3
# Holds as soon as some words are on the page and painted; Playwright's own wait looks twice a second only.
_SHOWN = """words => new Promise(done => {
  const look = () => document.body.innerText.includes(words);
  const painted = () => requestAnimationFrame(() => setTimeout(done));
  if (look()) return painted();
  new MutationObserver((_, self) => { if (look()) { self.disconnect(); painted(); } })
    .observe(document.documentElement, { childList: true, subtree: true, characterData: true });
})"""
# 50 strings of 40 props of five lights each.
LARGE_NODES = 10_000


def state(address: str) -> dict[str, Any]:
    """Return what the first page shows, as data."""
    with urlopen(address + "overview.json", timeout=60) as answer:
        data: dict[str, Any] = json.load(answer)
    return data


def settle(address: str) -> dict[str, Any]:
    """Return the data once it is that of the file."""
    while True:
        data = state(address)
        if data["current"]:
            return data


def first_paint(browser: Browser, file: Path) -> tuple[float, float]:
    """Return the times from the command to the first page on the screen, and to one with its numbers, s."""
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    page = context.new_page()
    begin = time.perf_counter()
    with workbench(file) as address:
        page.goto(address, wait_until="commit")
        page.get_by_role("navigation", name="Rooms, in the order of the work").wait_for()
        painted = time.perf_counter() - begin
        page.evaluate(_SHOWN, "Lowest voltage")
        useful = time.perf_counter() - begin
        context.close()
    return painted, useful


def edit(address: str, path: list[str], value: str) -> float:
    """Return the time from the edit of one field to its page with the new results, s."""
    form = {f"put:{json.dumps(path)}": value, "back": "/overview"}
    begin = time.perf_counter()
    with urlopen(Request(address + "put", urlencode(form).encode(), {"origin": address.rstrip("/")}), timeout=60):
        pass
    settle(address)
    return time.perf_counter() - begin


def edits(file: Path, path: list[str], values: list[str]) -> float:
    """Return the shortest time of an edit on a display that is open already, s."""
    with workbench(file) as address:
        settle(address)
        return min(edit(address, path, value) for value in values)


def rows() -> Iterator[Row]:
    """Yield the rows of this benchmark."""
    with tempfile.TemporaryDirectory() as folder:
        run(hollowglow("demo", folder), "landing.yaml")
        demo = Path(folder, "landing.yaml")
        with chromium() as browser:
            times = [first_paint(browser, demo) for _ in range(TIMES)]
        yield plain("demo: from the command to the page with its rooms", min(t for t, _ in times), "s")
        yield at_most("demo: from the command to the page with its numbers", min(t for _, t in times), PAINT_S, "s")
        lengths = [f"{metres} m" for metres in range(7, 7 + TIMES)]
        demo_s = edits(demo, ["strings", "gable", "lead", "length"], lengths)
        yield at_most("demo: a cable's length changed, to the new results", demo_s, DEMO_EDIT_S, "s")
        large = write_display(Path(folder), "props", LARGE_NODES)
        large_s = edits(large, ["strings", "run0", "lead", "length"], lengths)
        yield at_most("2,000 props: a cable's length changed, to the new results", large_s, LARGE_EDIT_S, "s")
