"""A phone outside: in with the code on the laptop's screen, and no answer lost when the network or the laptop goes."""

from __future__ import annotations

import asyncio
import re
import socket
import threading
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
import uvicorn
import zxingcpp
from playwright.sync_api import Browser, BrowserContext, Page, expect
from starlette.requests import Request
from starlette.responses import HTMLResponse, Response
from starlette.routing import Route

from hollowglow.plan import Plan
from hollowglow.web.desk.desk import Desk
from hollowglow.web.page.pictures import Pictures
from hollowglow.web.phone import AnswerError, Gate, make_phone_app
from tests.web.asking import Still
from tests.web.conftest import Bench, end, press, start, until
from tests.web.lit import PATIENCE_S

# Another address of this very machine, so that the phone's server is another place for the browser, as it is outside.
AT = "127.0.0.2"
PHONE: dict[str, Any] = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    from hollowglow.jobs.start.demo import write_demo

    made = start(write_demo(tmp_path_factory.mktemp("phone"))[0], "--phone-at", AT)
    yield made
    end(made)


@pytest.fixture
def phone(browser: Browser) -> Iterator[BrowserContext]:
    made = browser.new_context(**PHONE)
    yield made
    made.close()


def read_picture(laptop: Page) -> str:
    """Scan the picture on the laptop's screen with ZXing, another implementation of ISO/IEC 18004."""
    read: list[str] = []

    def scanned() -> list[str]:
        # Whatever is new on the bench brings a new picture, which is blank until it is loaded.
        shot = np.frombuffer(laptop.locator(".scan img").screenshot(), np.uint8)
        # OpenCV's own reader makes nothing of one code in a hundred, however plain its picture.
        read[:] = [code.text for code in zxingcpp.read_barcodes(cv2.imdecode(shot, cv2.IMREAD_GRAYSCALE))]
        return read

    until(scanned)
    (text,) = read
    return text


def test_a_wrong_code_stays_out_and_the_scanned_one_comes_in(tab: Page, bench: Bench, phone: BrowserContext) -> None:
    tab.get_by_role("link", name="Phone").click()
    scanned = read_picture(tab)
    assert re.fullmatch(rf"http://{AT}:\d+/#\d{{6}}", scanned)
    address, code = scanned.split("#")
    expect(tab.locator(".code")).to_have_text(f"Code {code[:3]} {code[3:]}")
    told = tab.get_by_text(re.compile(r"^\d+ phones? (is|are) in\.$"))
    before = int(told.inner_text().split()[0])

    page = phone.new_page()
    page.goto(f"{address}overview")
    expect(page).to_have_url(address)
    page.get_by_label("Code").fill(f"{(int(code) + 1) % 10**6:06d}")
    page.get_by_role("button", name="Go in").click()
    expect(page.get_by_role("alert")).to_contain_text("This is not the code on the laptop's screen")
    page.goto(scanned)
    page.get_by_role("link", name="Overview").click()
    expect(page.get_by_role("heading", name="Ferry landing, winter walk")).to_be_visible()
    # A heading can be there before the sheet of styles is.
    page.wait_for_load_state()
    expect(page).to_have_url(f"{address}overview")
    assert page.evaluate("document.cookie") == ""
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert page.locator("form, input, textarea, select, button").count() == 0
    page.get_by_role("link", name="Strings").click()
    page.get_by_role("link", name="gable").click()
    expect(page.get_by_role("cell", name="gable/prop20")).to_be_visible()
    expect(told).to_have_text(re.compile(rf"^{before + 1} phones? "))

    press(tab, "Shut all phones out and make a new code")
    page.reload()
    expect(page.get_by_label("Code")).to_be_visible()


def test_a_page_that_lost_the_network_stays_and_says_from_when_it_is(tab: Page, phone: BrowserContext) -> None:
    tab.get_by_role("link", name="Phone").click()
    page = phone.new_page()
    page.goto(read_picture(tab))
    page.get_by_role("link", name="Overview").click()
    expect(page.get_by_role("heading", name="Ferry landing, winter walk")).to_be_visible()
    page.wait_for_load_state()
    phone.set_offline(True)
    expect(page.locator("#state")).to_contain_text("The laptop is out of reach. This page is as it was at")
    expect(page.get_by_role("heading", name="Ferry landing, winter walk")).to_be_visible()
    phone.set_offline(False)
    expect(page.locator("#state")).to_be_empty()


def test_the_workbench_itself_is_listened_for_on_loopback_only(bench: Bench) -> None:
    port = int(bench.address.rstrip("/").rsplit(":", 1)[1])
    with socket.socket() as other, pytest.raises(ConnectionRefusedError):
        other.connect((AT, port))


class Outside:
    """A server for phones that can go away and come back, and what it was told."""

    def __init__(self, plan: Plan, file: Path) -> None:
        self.gate = Gate()
        self.taken: list[tuple[str, Mapping[str, Any]]] = []
        self.slow = False
        desk = Desk(file, Still(lambda *_: plan))
        desk.plan = plan
        # Held until the test is over, so that nobody else takes it while the server is away; it does not listen.
        self.held = self.bound(0)
        self.port = int(self.held.getsockname()[1])
        routes = [Route("/asking", self.page)]
        hosts = [f"{AT}:{self.port}"]
        self.app = make_phone_app(
            desk, Pictures(file.parent), self.gate, hosts, self.take, routes, [("/asking", "Asking")]
        )
        self.address = f"http://{AT}:{self.port}/"
        self.server: uvicorn.Server | None = None
        self.thread: threading.Thread | None = None

    async def page(self, _request: Request) -> Response:
        return HTMLResponse(
            '<!doctype html><html lang="en"><title>Asking</title><script type="module" src="/static/answers.js"></script>'
            '<form data-answer method="post" action="/answers"><input type="hidden" name="id" value="made-by-the-server-01">'
            '<input type="hidden" name="back" value="/asking"><input name="prop" aria-label="Prop"><button>Lit</button>'
            '<button name="lit" value="no">Dark</button></form><answers-waiting></answers-waiting>'
        )

    async def take(self, name: str, answer: Mapping[str, Any]) -> Mapping[str, Any]:
        if answer["prop"] == "nowhere":
            raise AnswerError("There is no prop nowhere.")
        self.taken.append((name, answer))
        if self.slow:
            await asyncio.sleep(0.5)
        return {}

    @staticmethod
    def bound(port: int) -> socket.socket:
        made = socket.socket()
        made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEPORT, 1)
        made.bind((AT, port))
        return made

    def come(self) -> None:
        listening = self.bound(self.port)
        listening.listen(64)  # from now on, not only once the thread has its turn
        config = uvicorn.Config(self.app, log_level="critical", lifespan="off", timeout_graceful_shutdown=1)
        server = self.server = uvicorn.Server(config)
        self.thread = threading.Thread(target=lambda: asyncio.run(server.serve(sockets=[listening])))
        self.thread.start()

    def go(self) -> None:
        if self.server is not None and self.thread is not None:
            self.server.should_exit = True
            self.thread.join(PATIENCE_S)
            assert not self.thread.is_alive()
            self.server = None

    @property
    def props(self) -> list[Any]:
        return [answer["prop"] for _, answer in self.taken]


@pytest.fixture
def outside(demo_plan: Plan, demo_file: Path) -> Iterator[Outside]:
    made = Outside(demo_plan, demo_file)
    made.come()
    yield made
    made.go()
    made.held.close()


def come_in(phone: BrowserContext, outside: Outside) -> Page:
    page = phone.new_page()
    page.goto(f"{outside.address}#{outside.gate.code}")
    page.wait_for_url("**/asking*")
    return page


def answer(page: Page, prop: str) -> None:
    page.get_by_label("Prop").fill(prop)
    page.get_by_role("button", name="Dark").click()


def test_answers_wait_for_the_laptop_in_order_and_outlive_the_page(outside: Outside, phone: BrowserContext) -> None:
    page = come_in(phone, outside)
    answer(page, "one")
    expect(page.locator("answers-waiting")).to_be_empty()
    outside.go()
    answer(page, "two")
    answer(page, "three")
    waiting = page.locator("answers-waiting")
    expect(waiting).to_have_text("2 answers wait (the laptop is out of reach), kept on this phone.")
    page.close()
    outside.come()
    page = phone.new_page()
    page.goto(f"{outside.address}asking")
    expect(page.locator("answers-waiting")).to_be_empty()
    assert page.evaluate("localStorage.length") == 0
    assert outside.props == ["one", "two", "three"]
    assert len({name for name, _ in outside.taken}) == 3


def test_an_answer_whose_acknowledgement_was_lost_counts_once(outside: Outside, phone: BrowserContext) -> None:
    page = come_in(phone, outside)
    lost: list[str] = []

    def lose(route: Any) -> None:
        if not lost:
            lost.append(route.request.post_data)
            route.fetch()
            route.abort()
        else:
            route.continue_()

    page.route("**/answers", lose)
    answer(page, "one")
    expect(page.locator("answers-waiting")).to_be_empty()
    until(lambda: page.evaluate("localStorage.length") == 0)
    assert lost
    assert outside.props == ["one"]


def test_a_phone_that_is_shut_out_keeps_its_answers_until_the_code_is_typed(
    outside: Outside, phone: BrowserContext
) -> None:
    page = come_in(phone, outside)
    outside.gate.shut()
    answer(page, "one")
    waiting = page.locator("answers-waiting")
    expect(waiting).to_contain_text("1 answer waits (the laptop asks for its code again), kept on this phone.")
    waiting.get_by_role("link", name="Type the code").click()
    page.get_by_label("Code").fill(outside.gate.code)
    page.get_by_role("button", name="Go in").click()
    page.wait_for_url("**/asking")
    expect(page.locator("answers-waiting")).to_be_empty()
    until(lambda: page.evaluate("localStorage.length") == 0)
    assert outside.props == ["one"]


def test_an_answer_that_is_refused_is_told_and_does_not_hold_up_the_next(
    outside: Outside, phone: BrowserContext
) -> None:
    page = come_in(phone, outside)
    page.evaluate("addEventListener('answer:kept', (event) => { document.title = event.detail.prop; })")
    answer(page, "nowhere")
    expect(page.locator("answers-waiting")).to_have_text("There is no prop nowhere.")
    assert page.title() == "nowhere"
    answer(page, "one")
    until(lambda: page.evaluate("localStorage.length") == 0)
    assert outside.props == ["one"]


def test_without_script_the_form_answers_by_itself_and_a_repeat_is_harmless(outside: Outside, browser: Browser) -> None:
    context = browser.new_context(**PHONE, java_script_enabled=False)
    page = context.new_page()
    page.goto(outside.address)
    page.get_by_label("Code").fill(outside.gate.code)
    page.get_by_role("button", name="Go in").click()
    page.wait_for_url("**/asking")
    for _ in range(2):
        page.goto(f"{outside.address}asking")
        with page.expect_response(lambda reply: reply.request.method == "POST"):
            answer(page, "one")
    assert outside.taken == [("made-by-the-server-01", {"prop": "one", "lit": "no"})]
    context.close()
