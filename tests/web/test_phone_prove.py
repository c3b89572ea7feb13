"""The Prove room on a phone: the laptop's session, and answers that count once however often they come."""

from __future__ import annotations

import asyncio
import json
from pathlib import Path

from strandwright.readings import answered
from strandwright.workbench import phone_prove
from strandwright.workbench.phone import Gate, make_phone_app
from strandwright.workbench.phone.app import FILES
from tests.workbench.asking import HOST, ask, bench_of
from tests.workbench.lit import Ear, plan_of, soon
from tests.workbench.test_phone_app import ID, come_in


def test_a_phone_starts_a_walk_answers_and_stops_it(small_file: Path, ear: Ear) -> None:
    file = small_file

    async def walk() -> None:
        desk, bench = await bench_of(file, plan_of(file))
        gate = Gate()
        app = make_phone_app(
            desk, bench.state.pictures, gate, [HOST], phone_prove.taker(bench), phone_prove.routes(), phone_prove.LINKS
        )
        phone_prove.join(app, bench)
        for path in ("/prove/start", "/prove/move", "/prove/answer"):
            assert (await ask(app, path, {"to": ear.at})).status == 401
        known = await come_in(app, gate)
        assert "Start sending" in (await ask(app, "/prove", headers=known)).text
        assert (await ask(app, "/prove/start", {"to": ear.at, "only": "prop"}, headers=known)).status == 303
        await soon(lambda: ear.slots()[:15] == bytes([255] * 3 + [0] * 12))
        page = (await ask(app, "/prove", headers=known)).text
        assert "eave/prop01" in page
        assert all(name in FILES for name in ("night.js", "prove.js", "phone_prove.js", "answers.js"))
        for _ in range(2):
            given = {"id": ID, "answer": "lit", "step": "prop:eave/prop01"}
            kind = {"content-type": "application/json"}
            reply = await ask(app, "/answers", body=json.dumps(given).encode(), headers=known | kind)
            assert (reply.status, reply.data["answer"]["target"]) == (200, "eave/prop01")
        await soon(lambda: ear.slots()[:15] == bytes([0] * 3 + [255] * 3 + [0] * 9))
        wrong = json.dumps(given | {"id": ID + "0", "step": "prop:nowhere"}).encode()
        assert (await ask(app, "/answers", body=wrong, headers=known | kind)).status == 422
        # The laptop shows the same walk.
        assert (await ask(bench, "/prove.json")).data["room"]["walk"]["target"] == "eave/prop02"
        assert "Everything is dark" in (await ask(app, "/prove/stop", {}, headers=known)).text

    asyncio.run(walk())
    assert ear.terminated == 3
    assert [(a.target, a.answer) for a in answered(file)] == [("eave/prop01", "lit")]
