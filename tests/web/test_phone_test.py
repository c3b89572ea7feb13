"""The room Test on a phone: the laptop's session, and answers that count once however often they come."""

from __future__ import annotations

import asyncio
import json
from pathlib import Path

from hollowglow.measured.readings import answered
from hollowglow.web.phone import Gate, make_phone_app
from hollowglow.web.phone import test as phone_test
from hollowglow.web.phone.app import FILES
from tests.web.asking import HOST, ask, bench_of
from tests.web.lit import Ear, plan_of, soon
from tests.web.test_phone_app import ID, come_in


def test_a_phone_starts_a_walk_answers_and_stops_it(small_file: Path, ear: Ear) -> None:
    file = small_file

    async def walk() -> None:
        desk, bench = await bench_of(file, plan_of(file))
        gate = Gate()
        app = make_phone_app(
            desk, bench.state.pictures, gate, [HOST], phone_test.taker(bench), phone_test.routes(), phone_test.LINKS
        )
        phone_test.join(app, bench)
        for path in ("/test/start", "/test/move", "/test/answer"):
            assert (await ask(app, path, {"to": ear.at})).status == 401
        known = await come_in(app, gate)
        assert "Start sending" in (await ask(app, "/test", headers=known)).text
        assert (await ask(app, "/test/start", {"to": ear.at, "only": "prop"}, headers=known)).status == 303
        await soon(lambda: ear.slots()[:15] == bytes([255] * 3 + [0] * 12))
        page = (await ask(app, "/test", headers=known)).text
        assert "eave/prop01" in page
        assert all(name in FILES for name in ("night.js", "test.js", "phone_test.js", "answers.js"))
        for _ in range(2):
            given = {"id": ID, "answer": "lit", "step": "prop:eave/prop01"}
            kind = {"content-type": "application/json"}
            reply = await ask(app, "/answers", body=json.dumps(given).encode(), headers=known | kind)
            assert (reply.status, reply.data["answer"]["target"]) == (200, "eave/prop01")
        await soon(lambda: ear.slots()[:15] == bytes([0] * 3 + [255] * 3 + [0] * 9))
        wrong = json.dumps(given | {"id": ID + "0", "step": "prop:nowhere"}).encode()
        assert (await ask(app, "/answers", body=wrong, headers=known | kind)).status == 422
        # The laptop shows the same walk.
        assert (await ask(bench, "/test.json")).data["room"]["walk"]["target"] == "eave/prop02"
        assert "Everything is dark" in (await ask(app, "/test/stop", {}, headers=known)).text

    asyncio.run(walk())
    assert ear.terminated == 3
    assert [(a.target, a.answer) for a in answered(file)] == [("eave/prop01", "lit")]
