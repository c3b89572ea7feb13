"""The display in light at the workbench: 2,000 cells, 30 looks a second, a page that draws them in headless Chromium."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from socket import AF_INET, SOCK_DGRAM, socket

from benchmarks.displays import display_text
from benchmarks.rows import Row, at_least, at_most

TITLE = "Glow: 2,000 cells live on a page in headless Chromium"
CELLS = 2000
SECONDS = 8.0
CHROMIUM = "/usr/bin/chromium"
FLAGS = ["--no-sandbox", "--disable-quic", "--disable-background-networking", "--disable-component-update"]

# Pictures of the screen and colours drawn, each a second, while the page does nothing else.
_COUNT = """async (seconds) => {
  const glow = document.querySelector("night-glow");
  const before = Number(glow.dataset.shown ?? 0);
  let pictures = 0, running = true;
  const tick = () => { pictures += 1; if (running) requestAnimationFrame(tick); };
  const begin = performance.now();
  requestAnimationFrame(tick);
  await new Promise((done) => setTimeout(done, seconds * 1000));
  running = false;
  const took = (performance.now() - begin) / 1000;
  return [pictures / took, (Number(glow.dataset.shown ?? 0) - before) / took, glow.dataset.painter];
}"""


def rows() -> Iterator[Row]:
    """Yield what the walk's chase and what a whole show of another program cost."""
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        file = Path(folder) / "many.yaml"
        file.write_text(display_text("bare", CELLS), encoding="utf-8")
        server = subprocess.Popen(
            [sys.executable, "-m", "hollowglow", "open", str(file), "--no-browser"], stdout=subprocess.PIPE, text=True
        )
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        try:
            assert server.stdout is not None
            found = re.search(r"http://[\d.:]+/", server.stdout.readline())
            assert found is not None
            page = browser.new_page(viewport={"width": 1280, "height": 900})
            page.goto(found.group() + "test")
            page.get_by_label("Address of the controller").wait_for(timeout=120_000)
            port = _free_port()
            page.get_by_label("UDP port").fill(str(port))
            page.get_by_role("button", name="Listen").click()
            page.get_by_text("Stop listening").wait_for()
            with _Show(file, port):
                time.sleep(1.0)
                yield from _measured(page, server.pid, "a show that is heard, every slot changing 40 times a second")
            page.get_by_role("button", name="Stop listening").click()
            page.get_by_label("Address of the controller").fill(f"127.0.0.1:{port}")
            page.get_by_role("button", name="Start sending").click()
            page.get_by_label("To", exact=True).fill(
                page.locator("#steps option[value^=load]").first.get_attribute("value") or ""
            )
            page.get_by_role("button", name="Jump there").click()
            page.get_by_role("button", name="Start the trial").click()
            yield from _measured(page, server.pid, "a full-load trial that is sent", 5.0)
        finally:
            browser.close()
            server.terminate()
            server.wait(10)


def _measured(page: object, process: int, what: str, seconds: float = SECONDS) -> Iterator[Row]:
    spent, begin = _spent_s(process), time.monotonic()
    pictures, shown, painter = page.evaluate(_COUNT, seconds)  # type: ignore[attr-defined]
    share = (_spent_s(process) - spent) / (time.monotonic() - begin)
    yield Row(f"Way of drawing, {what}", painter, "")
    yield at_least(f"Colours drawn, {what}", shown, 29.0, "1/s")
    yield at_least(f"Pictures of the page, {what}", pictures, 50.0, "1/s")
    yield at_most(f"Processor of the server, {what}", share, 1.0, "cores")


def _spent_s(process: int) -> float:
    """Return the processor time of a process, s; the one that plans is another."""
    fields = Path(f"/proc/{process}/stat").read_text().rpartition(") ")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def _free_port() -> int:
    with socket(AF_INET, SOCK_DGRAM) as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


class _Show:
    """A show in a process of its own."""

    def __init__(self, file: Path, port: int) -> None:
        self._asked = [sys.executable, "-c", _SHOW, str(file), str(port)]

    def __enter__(self) -> None:
        self._process = subprocess.Popen(self._asked)

    def __exit__(self, *_: object) -> None:
        self._process.terminate()
        self._process.wait(10)


_SHOW = """
import sys, time
import numpy as np
from hollowglow.assembly import expand
from hollowglow.show.demand import AddressMap
from hollowglow.file import load
from hollowglow.net.sending.sender import Sender
table = AddressMap.of(expand(load(sys.argv[1])))
frames = [table.frame(np.random.default_rng(k).integers(0, 60, (table.cells, 3))) for k in range(40)]
with Sender(table.universes, f"127.0.0.1:{sys.argv[2]}", cid=bytes(16), source="show", rate_hz=40.0) as sender:
    k, due = 0, time.monotonic()
    while True:
        sender.show(frames[k % 40])
        k, due = k + 1, due + 0.025
        time.sleep(max(0.0, due - time.monotonic()))
"""
