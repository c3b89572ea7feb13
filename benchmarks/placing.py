"""Placing: frames a second while one of 2,000 props is dragged on the canvas of the Place room, headless Chromium."""

from __future__ import annotations

import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from playwright.sync_api import Browser, Page

from benchmarks.opened import chromium, workbench
from benchmarks.rows import Row, at_least, at_most, plain

TITLE = "Placing: one of 2,000 props dragged in the Place room, headless Chromium without a graphics card"
FRAMES_A_S = 50.0
EDIT_S = 2.0
SECONDS = 4.0
STRINGS, PROPS = 20, 100

# A pointer that moves before every frame, as a hand does on a screen of 60 Hz, and how many frames came of it.
DRAG = """async (seconds) => {
  const yard = document.querySelector("place-yard");
  const box = yard.stage.getBoundingClientRect();
  const item = 1234;
  const [x, y] = yard.view.screen(yard.scene.at[2 * item], yard.scene.at[2 * item + 1]);
  const at = (right, down) => ({ bubbles: true, composed: true, pointerId: 1, pointerType: "mouse", button: 0,
    clientX: box.left + x + right, clientY: box.top + y + down });
  yard.stage.dispatchEvent(new PointerEvent("pointerdown", at(0, 0)));
  let frames = 0, longest = 0, moved = 0;
  const begin = await new Promise(requestAnimationFrame);
  let last = begin, now = begin;
  while (now - begin < 1000 * seconds) {
    const turn = (now - begin) / 200;
    yard.stage.dispatchEvent(new PointerEvent("pointermove", at(90 * Math.sin(turn), 60 * Math.cos(turn))));
    now = await new Promise(requestAnimationFrame);
    longest = Math.max(longest, now - last);
    last = now;
    frames += 1;
    moved += yard.held ? 1 : 0;
  }
  yard.stage.dispatchEvent(new PointerEvent("pointerup", at(0, 0)));
  return [frames / ((now - begin) / 1000), longest, moved / frames, yard.scene.props];
}"""

# Where a processor imitates the graphics card, the page prefers its plain canvas; this makes it take WebGL all the same.
ANY_WEBGL = """
const named = WebGLRenderingContext.prototype.getParameter;
WebGLRenderingContext.prototype.getParameter = function (what) {
  return what === 0x9246 ? "a card" : named.call(this, what);
};
"""


def yard_text() -> str:
    """Return a display of 2,000 props in twenty strings, one below the other on a wall."""
    strings = "\n".join(
        f"  s{row:02d}: {{output: box/{row + 1}, supply: shed, props: {PROPS} * dot, lead: {{length: 2 m}}, "
        f"span: {{length: 300 mm}}, place: {{line: [[0 m, {row}.5 m], [29.7 m, {row}.5 m]]}}}}"
        for row in range(STRINGS)
    )
    return f"""\
display: 2,000 props
supplies: {{shed: {{voltage: 12 V, rating: 600 W, at: [-1 m, 1 m]}}}}
controllers: {{box: {{outputs: {STRINGS}, nodes_per_output: 600, at: [-1 m, 2 m]}}}}
kinds:
  dot: {{shell: {{shape: sphere, diameter: 60 mm}}, fill: {{light: puck-3led-12v}}}}
strings:
{strings}
levels: {{dot: 10 %}}
"""


def rows() -> Iterator[Row]:
    """Yield the rows of this benchmark."""
    with tempfile.TemporaryDirectory() as folder, chromium() as browser:
        file = Path(folder, "yard.yaml")
        file.write_text(yard_text(), encoding="utf-8")
        for forced in (False, True):
            with workbench(file) as address:
                tab = browser.new_page(viewport={"width": 1280, "height": 900})
                if forced:
                    tab.add_init_script(ANY_WEBGL)
                tab.goto(address + "place?string=s12")
                wait(tab, "scene?.props === 2000")
                # The picture without script is laid out no more once the drawing is there; the first frames settle.
                tab.wait_for_timeout(1500)
                with tab.expect_response(lambda answer: answer.request.method == "POST"):
                    frames, longest, held, props = tab.evaluate(DRAG, SECONDS)
                if held < 0.9 or props != STRINGS * PROPS:
                    raise RuntimeError(f"nothing was dragged: {held:.0%} of the frames, {props} props")
                way = tab.evaluate("document.querySelector('place-yard').dataset.way")
                if forced:
                    yield plain(f"frames a second, {way} imitated by the processor", frames, "1/s")
                else:
                    yield at_least(f"frames a second, {way}", frames, FRAMES_A_S, "1/s")
                    yield plain(f"longest frame, {way}", longest, "ms")
                wait(tab, "sender.busy === false")
                tab.close()
        yield from edit(browser, file)


def edit(browser: Browser, file: Path) -> Iterator[Row]:
    """Yield how long it takes from a dropped prop to numbers that are fresh."""
    with workbench(file) as address:
        tab = browser.new_page()
        tab.goto(address + "place?string=s12")
        wait(tab, "scene?.props === 2000")
        best = float("inf")
        for turn in range(3):
            body = {"act": "move", "string": "s12", "prop": "40", "x": f"12.{turn} m", "y": "12.7 m"}
            begin = time.perf_counter()
            origin = {"origin": address.rstrip("/")}
            tab.request.post(address + "place/do.json", form=body, headers=origin)
            while not tab.request.get(address + "place.json?string=s12").json()["current"]:
                pass
            best = min(best, time.perf_counter() - begin)
        yield at_most("from one prop dropped to fresh numbers of 2,000 props, best of 3", best, EDIT_S, "s")
        tab.close()


def wait(tab: Page, holds: str) -> None:
    """Wait until something holds of the drawing; a page's own rules forbid to do that in the page."""
    for _ in range(600):
        if tab.evaluate(f"(document.querySelector('place-yard') ?? {{}}).{holds} ?? false"):
            return
        tab.wait_for_timeout(100)
    raise RuntimeError(f"{holds} does not come to hold")
