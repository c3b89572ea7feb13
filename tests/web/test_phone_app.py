"""What a phone can reach, and that there is nothing else."""

from __future__ import annotations

import asyncio
import json
import re
from collections.abc import Awaitable, Callable, Mapping
from http.cookies import SimpleCookie
from pathlib import Path
from typing import Any

import pytest
from starlette.applications import Starlette
from starlette.routing import Route, WebSocketRoute
from starlette.websockets import WebSocket, WebSocketDisconnect

from hollowglow.plan import Plan
from hollowglow.web.phone import AnswerError, Gate, make_phone_app
from hollowglow.web.phone.app import FILES
from hollowglow.web.resources import HERE, static_file
from tests.web.asking import HOST, Reply, ask, bench_of

TAKEN: Mapping[str, Any] = {"noted": True}
ID = "0123456789abcdef"


async def take(_name: str, answer: Mapping[str, Any]) -> Mapping[str, Any]:
    if answer.get("prop") == "nowhere":
        raise AnswerError("There is no prop nowhere.")
    return TAKEN


Work = Callable[[Starlette, Gate], Awaitable[Any]]


def with_phone(demo_file: Path, demo_plan: Plan, work: Work, asks: bool = True) -> Any:
    async def whole() -> Any:
        desk, bench = await bench_of(demo_file, demo_plan)
        gate = Gate()
        app = make_phone_app(desk, bench.state.pictures, gate, [HOST], take if asks else None)
        return await work(app, gate)

    return asyncio.run(whole())


async def come_in(app: Starlette, gate: Gate) -> dict[str, str]:
    answer = await ask(app, "/enter", {"code": gate.code})
    return {"cookie": f"phone={SimpleCookie(answer.headers['set-cookie'])['phone'].value}"}


def test_a_phone_is_given_every_file_that_its_pages_ask_for() -> None:
    pages = list((HERE / "phone" / "pages").glob("*.html"))
    asked = {name for page in pages for name in re.findall(r"/static/([\w.]+)", page.read_text(encoding="utf-8"))}
    asked |= {
        name
        for file in FILES
        if file.endswith(".js")
        for name in re.findall(r'from "\./([\w.]+)"', static_file(file).read_text(encoding="utf-8"))
    }
    assert pages
    assert asked <= set(FILES)


def test_without_the_code_there_is_the_way_in_and_nothing_more(demo_file: Path, demo_plan: Plan) -> None:
    async def work(app: Starlette, _gate: Gate) -> None:
        way_in = await ask(app, "/")
        assert (way_in.status, 'name="code"' in way_in.text) == (200, True)
        assert "prop" not in way_in.text.split("<main")[1].split("</main")[0]
        for path in ("/overview", "/strings", "/nowhere"):
            answer = await ask(app, path)
            assert (answer.status, answer.headers["location"]) == (303, "/")
        for path in ("/overview.json", "/strings.json", "/picture/glow/.svg"):
            assert (await ask(app, path)).status == 401
        answer = await ask(app, "/answers", body=b"{}", headers={"content-type": "application/json"})
        assert answer.status == 401
        assert (await ask(app, "/live", kind="websocket", headers={"origin": f"http://{HOST}"})).status == 1008
        guessed = {"cookie": "phone=guess"}
        assert (await ask(app, "/overview.json", headers=guessed)).status == 401

    with_phone(demo_file, demo_plan, work)


def test_the_secret_is_for_this_server_only_and_out_of_reach_of_scripts(demo_file: Path, demo_plan: Plan) -> None:
    async def work(app: Starlette, gate: Gate) -> None:
        wrong = await ask(app, "/enter", {"code": f"{(int(gate.code) + 1) % 10**6:06d}"})
        assert (wrong.status, "set-cookie" in wrong.headers) == (403, False)
        assert "This is not the code" in wrong.text
        right = await ask(app, "/enter", {"code": gate.code})
        assert (right.status, right.headers["location"]) == (303, "/overview")
        flags = {part.strip().lower() for part in right.headers["set-cookie"].split(";")[1:]}
        assert {"httponly", "samesite=strict", "path=/"} <= flags

    with_phone(demo_file, demo_plan, work)


def test_what_is_read_is_what_the_laptop_shows(demo_file: Path, demo_plan: Plan) -> None:
    async def work(app: Starlette, gate: Gate) -> None:
        known = await come_in(app, gate)
        _, bench = await bench_of(demo_file, demo_plan)
        laptop = (await ask(bench, "/overview.json")).data["room"]
        phone = (await ask(app, "/overview.json", headers=known)).data["room"]
        assert phone == laptop
        page = await ask(app, "/overview", headers=known)
        assert "Ferry landing, winter walk" in page.text
        assert page.headers["cache-control"] == "private, no-cache"
        gable = (await ask(app, "/strings.json?string=gable", headers=known)).data["room"]
        assert {row["string"] for row in gable["addresses"]} == {"gable"}
        assert (await ask(app, "/picture/profile/gable.svg", headers=known)).headers["content-type"] == "image/svg+xml"

    with_phone(demo_file, demo_plan, work)


def test_nothing_that_edits_is_there_even_with_the_code(demo_file: Path, demo_plan: Plan) -> None:
    before = demo_file.read_bytes()

    async def work(app: Starlette, gate: Gate) -> None:
        known = await come_in(app, gate)
        _, bench = await bench_of(demo_file, demo_plan)
        paths = [route.path for route in bench.routes if isinstance(route, Route)]
        shared = {"/", "/picture/{name:path}.svg"}
        for path in {*paths, "/put", "/undo", "/feed", "/static/page.js", "/static/../app.py", "/phone.json"} - shared:
            answer = await ask(app, path, {"back": "/"}, headers=known)
            assert answer.status == 404, path
            assert (await ask(app, path, headers=known)).status == 404, path
        for path in ("/overview", "/strings", "/overview.json"):
            assert (await ask(app, path, {"back": "/"}, headers=known)).status == 405, path

    with_phone(demo_file, demo_plan, work)
    assert demo_file.read_bytes() == before


def test_host_and_origin_count_for_phones_too(demo_file: Path, demo_plan: Plan) -> None:
    async def work(app: Starlette, gate: Gate) -> None:
        known = await come_in(app, gate)
        assert (await ask(app, "/overview", headers=known | {"host": "elsewhere.example"})).status == 403
        for origin in ("http://elsewhere.example", "null", ""):
            answer = await ask(app, "/answers", {"id": ID}, headers=known | {"origin": origin})
            assert answer.status == 403
            assert (await ask(app, "/enter", {"code": gate.code}, headers={"origin": origin})).status == 403

    with_phone(demo_file, demo_plan, work)


def test_a_stream_ends_when_the_phone_is_shut_out(demo_file: Path, demo_plan: Plan) -> None:
    told: list[str] = []

    async def stream(socket: WebSocket) -> None:
        await socket.accept()
        gate: Gate = socket.app.state.gate
        await socket.send_text("first")
        gate.shut()
        try:
            await socket.send_text("second")
        except WebSocketDisconnect as gone:
            told.append(f"{gone.code} {gone.reason}")

    async def work() -> list[Any]:
        desk, bench = await bench_of(demo_file, demo_plan)
        gate = Gate()
        app = make_phone_app(desk, bench.state.pictures, gate, [HOST], routes=[WebSocketRoute("/live", stream)])
        known = await come_in(app, gate)
        return list((await ask(app, "/live", kind="websocket", headers=known | {"origin": f"http://{HOST}"})).messages)

    messages = asyncio.run(work())
    assert [m["type"] for m in messages] == ["websocket.accept", "websocket.send", "websocket.close"]
    assert messages[1]["text"] == "first"
    assert told == ["1008 Type the code on the laptop's screen first."]


def test_answers_come_as_json_or_from_a_plain_form(demo_file: Path, demo_plan: Plan) -> None:
    async def work(app: Starlette, gate: Gate) -> None:
        known = await come_in(app, gate)

        async def send(what: Any) -> Reply:
            body = what if isinstance(what, bytes) else json.dumps(what).encode()
            return await ask(app, "/answers", body=body, headers=known | {"content-type": "application/json"})

        for _ in range(2):
            answer = await send({"id": ID, "prop": "gable/prop03"})
            assert (answer.status, answer.data) == (200, {"taken": True, "answer": {"noted": True}})
        refused = await send({"id": ID[::-1], "prop": "nowhere"})
        assert (refused.status, refused.data["error"]["message"]) == (422, "There is no prop nowhere.")
        for wrong in (b"{", b"[]", b"\xff", b"null"):
            assert (await send(wrong)).status == 422
        large = await send(b'"' + b"x" * 70_000 + b'"')
        assert (large.status, "more than 64 KiB" in large.text) == (413, True)
        form = await ask(app, "/answers", {"id": "f" * 16, "prop": "a", "back": "/strings?string=gable"}, headers=known)
        assert (form.status, form.headers["location"]) == (303, "/strings?string=gable")
        form = await ask(app, "/answers", {"id": "e" * 16, "prop": "nowhere"}, headers=known)
        assert (form.status, "There is no prop nowhere." in form.text) == (422, True)

    with_phone(demo_file, demo_plan, work)


def test_where_nothing_is_asked_nothing_is_taken(demo_file: Path, demo_plan: Plan) -> None:
    async def work(app: Starlette, gate: Gate) -> None:
        assert (await ask(app, "/answers", {"id": ID}, headers=await come_in(app, gate))).status == 404

    with_phone(demo_file, demo_plan, work, asks=False)


@pytest.mark.parametrize("path", ["/", "/overview", "/strings"])
def test_a_page_without_numbers_says_so(path: str, tmp_path: Path, demo_plan: Plan) -> None:
    async def work(app: Starlette, gate: Gate) -> None:
        known = await come_in(app, gate)
        app.state.desk.plan = None
        assert (await ask(app, path, headers=known)).status in (200, 303)
        assert (await ask(app, "/overview.json", headers=known)).data["room"] == {}

    file = tmp_path / "landing.yaml"
    file.write_text("display: x\n", encoding="utf-8")
    with_phone(file, demo_plan, work)
