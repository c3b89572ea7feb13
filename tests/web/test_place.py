"""The Place room in a real browser: a photograph scaled and drawn on, props dragged and stepped, uploads that are refused."""

from __future__ import annotations

import io
import json
import re
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image, ImageDraw
from playwright.sync_api import Browser, Page, expect

from hollowglow.jobs.start.demo import write_demo
from tests.web.conftest import Bench, end, settled, start
from tests.web.lit import PATIENCE_S

YARD = """\
display: Wall
supplies:
  shed: {voltage: 12 V, rating: 60 W}
controllers:
  box: {outputs: 2, nodes_per_output: 100, at: [0 m, 0 m]}
kinds:
  globe: {shell: {shape: sphere, diameter: 100 mm}, fill: {light: puck-3led-12v}}
strings:
  eaves:
    output: box/1
    supply: shed
    props: 6 * globe
    lead: {length: 3 m}
    span: {length: 900 mm}
"""
# The rectangle on the wall, and where the string is to run, m from the rectangle's bottom left corner.
WIDTH_M, HEIGHT_M = 2.0, 2.2
ENDS_M = ((-1.0, 2.6), (4.0, 2.6))
COLOURS = ("#00d000", "#0040ff", "#00d0d0", "#d000d0")
END_COLOUR = "#ff0000"


def seen(place_m: tuple[float, float]) -> tuple[float, float]:
    """Return where a pinhole camera, off to one side and below, has a place of the wall: pixels of its photograph."""
    turn, tilt = np.radians(24.0), np.radians(-7.0)
    aside = np.array([[np.cos(turn), 0, np.sin(turn)], [0, 1, 0], [-np.sin(turn), 0, np.cos(turn)]])
    up = np.array([[1, 0, 0], [0, np.cos(tilt), -np.sin(tilt)], [0, np.sin(tilt), np.cos(tilt)]])
    x, y, z = up @ aside @ np.array([place_m[0] - 1.2, -(place_m[1] - 1.4), 0.0]) + np.array([0.0, 0.0, 7.5])
    return 800.0 + 1350.0 * x / z, 560.0 + 1350.0 * y / z


def photograph(path: Path) -> None:
    """Make a photograph of a wall with a window of known size, and two hooks where the string is to hang."""
    picture = Image.new("RGB", (1600, 1100), "#8a8378")
    pen = ImageDraw.Draw(picture)
    corners = [seen(p) for p in ((0.0, 0.0), (WIDTH_M, 0.0), (WIDTH_M, HEIGHT_M), (0.0, HEIGHT_M))]
    pen.polygon(corners, fill="#3a3a3a")
    for (x, y), colour in (*zip(corners, COLOURS, strict=True), *((seen(p), END_COLOUR) for p in ENDS_M)):
        pen.ellipse((x - 9, y - 9, x + 9, y + 9), fill=colour)
    picture.save(path)


def screen(tab: Page) -> NDArray[np.float64]:
    """Return what the stage shows, as hues that dimming leaves alone: each channel over the brightest one."""
    shot = np.asarray(Image.open(io.BytesIO(tab.locator("place-yard .stage").screenshot())).convert("RGB"), float)
    hues: NDArray[np.float64] = shot / np.maximum(shot.max(axis=2, keepdims=True), 60.0)
    return hues


def shown(tab: Page, holds: Callable[[], object], trouble: Callable[[], str]) -> None:
    """Look at a page again and again until something holds; fail with what is wrong where it does not in time."""
    stop = time.monotonic() + PATIENCE_S
    while not holds():
        if time.monotonic() > stop:
            pytest.fail(trouble())
        tab.wait_for_timeout(100)


def dots(tab: Page, colour: str, count: int) -> list[tuple[float, float]]:
    """Return the middles of so many dots of a colour on the stage, in its pixels, from left to right, once they stand still."""
    from skimage.measure import label, regionprops

    wanted = np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)], float)
    before: list[tuple[float, float]] = []

    def still() -> bool:
        nonlocal before
        near = np.abs(screen(tab) - wanted / wanted.max()).max(axis=2) < 0.22
        found = sorted((float(r.centroid[1]), float(r.centroid[0])) for r in regionprops(label(near)) if r.area > 30)
        stood, before = found == before, found
        return stood and len(found) == count

    shown(tab, still, lambda: f"found {len(before)} dots of {colour}, expected {count}")
    return before


def click(tab: Page, at: tuple[float, float]) -> None:
    # A dot's middle counts from the middle of a pixel, a click from its edge.
    tab.locator("place-yard .stage").click(position={"x": at[0] + 0.5, "y": at[1] + 0.5})


def still(tab: Page, bench: Bench) -> None:
    """Wait until the numbers are those of the file and the page says so: news above the stage would move it."""
    settled(bench)
    expect(tab.locator("#state")).not_to_contain_text("Computing")


def room(tab: Page, bench: Bench, string: str) -> Any:
    return tab.request.get(f"{bench.address}place.json?string={string}").json()["room"]


def until(tab: Page, holds: str) -> None:
    """Wait until something holds of the scene; a page's own rules forbid to do that in the page."""
    scene = f"(document.querySelector('place-yard') ?? {{}}).scene?.{holds} ?? false"
    shown(tab, lambda: tab.evaluate(scene), lambda: f"{holds} does not come to hold")


def sent(tab: Page) -> Any:
    return tab.expect_response(lambda answer: answer.request.method == "POST")


@pytest.fixture(scope="module")
def landing(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    made = start(write_demo(tmp_path_factory.mktemp("landing"))[0])
    yield made
    end(made)


def opened(browser: Browser, bench: Bench, where: str, **options: Any) -> Page:
    context = browser.new_context(viewport={"width": 1280, "height": 900}, **options)
    tab = context.new_page()
    tab.on("pageerror", lambda error: pytest.fail(str(error)))
    tab.goto(bench.address + where)
    return tab


@pytest.fixture
def yard(browser: Browser, landing: Bench) -> Iterator[Page]:
    settled(landing)  # the test before may have changed the file
    tab = opened(browser, landing, "place?string=rail-shore")
    until(tab, "props === 60")
    yield tab
    tab.context.close()


def spot(tab: Page, item: int) -> tuple[float, float]:
    """Return where an item is in the window."""
    x, y = tab.evaluate(
        """(item) => { const yard = document.querySelector("place-yard"); const box = yard.stage.getBoundingClientRect();
        const [x, y] = yard.view.screen(yard.scene.at[2 * item], yard.scene.at[2 * item + 1]);
        return [x + box.left, y + box.top]; }""",
        item,
    )
    return x, y


def test_a_photograph_is_scaled_and_a_string_drawn_on_it_has_its_true_lengths(browser: Browser, tmp_path: Path) -> None:
    file = tmp_path / "wall.yaml"
    file.write_text(YARD, encoding="utf-8")
    photograph(tmp_path / "house front.png")
    bench = start(file)
    tab = opened(browser, bench, "place")
    tab.locator("#do-file").set_input_files(tmp_path / "house front.png")
    tab.get_by_role("button", name="Bring it in").first.click()
    tab.get_by_role("button", name="Four corners").click()
    assert "picture: house-front.png" in bench.text
    assert (tmp_path / "house-front.png").read_bytes() == (tmp_path / "house front.png").read_bytes()
    still(tab, bench)
    for colour in COLOURS:
        ((x, y),) = dots(tab, colour, 1)
        click(tab, (x, y))
    tab.get_by_label("Width").fill("2 m")
    tab.get_by_label("Height").fill("220 cm")
    with sent(tab):
        tab.locator("place-yard").get_by_role("button", name="Scale it").click()
    until(tab, "data.backdrop.corners !== null")
    still(tab, bench)
    tab.get_by_role("button", name="Draw a line").click()
    first, last = dots(tab, END_COLOUR, 2)
    click(tab, first)
    click(tab, last)
    with sent(tab):
        tab.get_by_role("button", name="Set it out").click()
    until(tab, "props === 6")
    with sent(tab):
        tab.get_by_role("button", name="Let them follow").click()
    expect(tab.get_by_text("as drawn")).to_be_visible()
    settled(bench)
    made = room(tab, bench, "eaves")
    assert np.abs(np.array(made["scene"]["strings"][0]["line"]) - ENDS_M).max() < 0.02
    lengths = {one["id"]: one["length"] for one in made["lengths"]}
    # Five spans share five metres; the lead runs from the controller at the rectangle's corner to the first hook.
    assert [lengths[f"eaves/span0{n}"] for n in range(1, 6)] == pytest.approx([1.0] * 5, rel=0.01)
    assert lengths["eaves/lead"] == pytest.approx(np.hypot(*ENDS_M[0]), rel=0.01)
    tab.context.close()
    end(bench)


def test_a_dragged_prop_is_one_command_and_undo_brings_back_the_very_bytes(yard: Page, landing: Bench) -> None:
    before = landing.file.read_bytes()
    posts: list[str] = []
    yard.on("request", lambda request: posts.append(request.url) if request.method == "POST" else None)
    x, y = spot(yard, 2)
    yard.mouse.move(x, y)
    yard.mouse.down()
    yard.mouse.move(x + 60, y - 50, steps=12)
    assert not posts
    with sent(yard):
        yard.mouse.up()
    metres_a_pixel = 1 / yard.evaluate("document.querySelector('place-yard').view.k")
    assert [url.rsplit("/", 2)[-2:] for url in posts] == [["place", "do.json"]]
    found = re.search(r"moved: \[?\s*-? ?\{?prop: 3, at: \[([-\d.]+) m, ([-\d.]+) m\]", landing.text)
    assert found is not None, landing.text
    assert float(found[1]) == pytest.approx(4.5 + 60 * metres_a_pixel, abs=0.01)
    assert float(found[2]) == pytest.approx(0.9 + 50 * metres_a_pixel, abs=0.01)
    expect(yard.get_by_role("button", name="Back onto the line", exact=True)).to_be_visible()
    with sent(yard):
        yard.keyboard.press("Control+z")
    assert landing.file.read_bytes() == before


def test_props_are_chosen_stepped_and_typed_by_keys(yard: Page, landing: Bench) -> None:
    before = landing.file.read_bytes()
    posts: list[str] = []
    yard.on("request", lambda request: posts.append(request.url) if request.method == "POST" else None)
    yard.locator("place-yard .stage").focus()
    yard.keyboard.press("n")
    yard.keyboard.press("n")
    expect(yard.locator("place-yard .tray")).to_contain_text("rail-shore, prop 2: 3.00 m across, 0.90 m up")
    with sent(yard):  # three within the moment in which a run of them counts as one command
        yard.locator("place-yard .stage").evaluate(
            "(stage) => { for (let i = 0; i < 3; i += 1)"
            " stage.dispatchEvent(new KeyboardEvent('keydown', { key: 'ArrowRight', bubbles: true })); }"
        )
    assert len(posts) == 1
    assert "prop: 2, at: [3.15 m, 0.9 m]" in landing.text
    yard.keyboard.press("Enter")
    yard.get_by_label("Up", exact=True).fill("4 ft")
    with sent(yard):
        yard.keyboard.press("Enter")
    assert re.search(r"prop: 2, at: \[3.15 m, \"?4 ft", landing.text)
    expect(yard.locator("place-yard .tray")).to_contain_text("1.22 m up")
    for _ in range(4):
        if landing.file.read_bytes() == before:
            break
        with sent(yard):
            yard.keyboard.press("Control+z")
    assert landing.file.read_bytes() == before


@pytest.mark.parametrize("way", ["2d", "webgl"])
def test_props_glow_where_they_are_with_a_graphics_card_and_without(browser: Browser, landing: Bench, way: str) -> None:
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    tab = context.new_page()
    if way == "webgl":  # here a processor imitates the card, and the page would do without it
        tab.add_init_script(
            "const named = WebGLRenderingContext.prototype.getParameter; WebGLRenderingContext.prototype.getParameter ="
            " function (what) { return what === 0x9246 ? 'a card' : named.call(this, what); };"
        )
    tab.goto(landing.address + "place?string=rail-shore")
    until(tab, "props === 60")
    assert tab.locator("place-yard").get_attribute("data-way") == way
    wrong: list[tuple[int, float, float]] = []

    def glows() -> bool:
        shot = np.asarray(Image.open(io.BytesIO(tab.screenshot())).convert("RGB"), float)
        wrong.clear()
        for item in (3, 30, 59):
            x, y = (int(v) for v in spot(tab, item))
            lit, beside = float(shot[y, x].min()), float(shot[y + 40, x + 13].max())
            if lit <= 130.0 or beside >= 110.0:
                wrong.append((item, lit, beside))
        return not wrong

    shown(tab, glows, lambda: f"item, its light, the light beside it: {wrong}")
    context.close()


def test_what_is_no_picture_or_too_large_is_refused_in_words(yard: Page, landing: Bench, tmp_path: Path) -> None:
    before = landing.file.read_bytes()
    (tmp_path / "roof.jpg").write_text("not a picture", encoding="utf-8")
    with (tmp_path / "huge.png").open("wb") as stream:
        stream.truncate(66 * 1024 * 1024)
    yard.goto(landing.address + "place")
    yard.get_by_text("A photograph or a plan behind the drawing").click()
    chosen = yard.locator("#do-file")
    chosen.set_input_files(tmp_path / "huge.png")  # it is told before it is sent
    assert "more than 64 MiB" in chosen.evaluate("(input) => input.validationMessage")
    chosen.set_input_files(tmp_path / "roof.jpg")
    yard.get_by_role("button", name="Bring it in").first.click()
    expect(yard.locator("#state")).to_contain_text("roof.jpg is not a picture that can be read")
    assert landing.file.read_bytes() == before
    assert not list(landing.file.parent.glob("*.jpg")) + list(landing.file.parent.glob("*.png"))


def test_every_place_is_a_field_without_script_and_tables_come_out(browser: Browser, landing: Bench) -> None:
    settled(landing)
    tab = opened(browser, landing, "place?string=door", java_script_enabled=False)
    before = landing.file.read_bytes()
    tab.get_by_text("Every prop as numbers").click()
    tab.get_by_label("Prop 2, up or ahead").fill("7 ft 6 in")
    with tab.expect_navigation():
        tab.get_by_role("button", name="Write them into the file").click()
    assert "at: [7.1 m, 7 ft 6 in]" in landing.text
    settled(landing)
    table = tab.request.get(landing.address + "place/places.csv").text()
    assert "door/prop02,door,2,acorn,7.1,2.286," in table
    with tab.expect_navigation():
        tab.get_by_role("button", name="Undo").click()
    assert landing.file.read_bytes() == before
    settled(landing)
    tab.goto(landing.address + "overview")
    expect(tab.get_by_alt_text("The yard at night: every prop in place")).to_be_visible()
    assert json.loads(tab.request.get(landing.address + "place.json").text())["current"]
    tab.context.close()
