"""Whatever goes wrong is said in words: on a page, or in the one shape that JSON has for it."""

from __future__ import annotations

import asyncio
import json
from pathlib import Path
from typing import Any

import pytest

from hollowglow.plan import Plan
from hollowglow.web.door.limits import MOST_BYTES
from tests.web.asking import Reply, ask, bench_of


def asked(demo_file: Path, demo_plan: Plan, path: str, form: dict[str, str] | None = None, **more: Any) -> Reply:
    async def work() -> Reply:
        _, app = await bench_of(demo_file, demo_plan)
        return await ask(app, path, form, **more)

    return asyncio.run(work())


def test_a_page_that_there_is_not(demo_file: Path, demo_plan: Plan) -> None:
    page = asked(demo_file, demo_plan, "/nowhere")
    assert page.status == 404
    assert '<div class="say bad" role="alert"><p>There is no page of this name on the workbench.</p></div>' in page.text
    assert asked(demo_file, demo_plan, "/nowhere.json").data == {
        "error": {"status": 404, "message": "There is no page of this name on the workbench."}
    }


def test_a_picture_that_there_is_not_and_a_method_that_is_not_meant(demo_file: Path, demo_plan: Plan) -> None:
    picture = asked(demo_file, demo_plan, "/picture/profile/nowhere.svg")
    assert (picture.status, "This display has no picture of that name." in picture.text) == (404, True)
    assert asked(demo_file, demo_plan, "/put").status in (404, 405)


PATH = json.dumps(["strings", "gable", "lead", "length"])


@pytest.mark.parametrize(
    ("form", "status", "words"),
    [
        ({f"put:{PATH}": "5 lightyears", "back": "/feed?string=gable"}, 422, "found &#34;5 lightyears&#34;"),
        ({f"put:{PATH}": "7 m", f"was:{PATH}": '"1 m"', "back": "/feed"}, 409, "nothing was changed"),
        ({f"put:{PATH}": "7 m", f"was:{PATH}": "{", "back": "/feed"}, 409, "Load the page again."),
        ({"put:nonsense": "7 m", "back": "/feed"}, 409, "The form names no place in the display file."),
        ({"put:[-1]": "7 m"}, 409, "The form names no place in the display file."),
        ({'put:["strings", 3, "lead"]': "7 m", "back": "/feed"}, 422, 'role="alert"'),
    ],
)
def test_a_form_that_says_something_wrong(
    form: dict[str, str], status: int, words: str, demo_file: Path, demo_plan: Plan
) -> None:
    before = demo_file.read_bytes()
    answer = asked(demo_file, demo_plan, "/put", form)
    assert answer.status == status
    assert words in answer.text
    assert "Hollowglow&#39;s own fault" not in answer.text
    assert demo_file.read_bytes() == before


def test_a_body_that_says_how_large_it_is_and_one_that_does_not(demo_file: Path, demo_plan: Plan) -> None:
    words = "This is more than 64 MiB, so it was not taken. Send less."
    kind = "application/x-www-form-urlencoded"
    stated = asked(
        demo_file, demo_plan, "/put", body=b"a=1",
        headers={"content-length": str(MOST_BYTES + 1), "content-type": kind},
    )  # fmt: skip
    assert (stated.status, words in stated.text) == (413, True)
    head = b'--x\r\nContent-Disposition: form-data; name="photo"; filename="a.jpg"\r\n\r\n'
    unstated = asked(
        demo_file, demo_plan, "/put", body=head + b"a" * MOST_BYTES, pieces=8,
        headers={"transfer-encoding": "chunked", "content-length": "", "content-type": "multipart/form-data; boundary=x"},
    )  # fmt: skip
    assert (unstated.status, words in unstated.text) == (413, True)


def test_our_own_fault_is_called_that(demo_file: Path, demo_plan: Plan, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> object:
        raise ZeroDivisionError("by nothing")

    async def work() -> list[Reply]:
        desk, app = await bench_of(demo_file, demo_plan)
        monkeypatch.setattr(type(desk), "settled", broken)
        got = []
        for path in ("/overview", "/overview.json"):
            with pytest.raises(ZeroDivisionError):  # told first, then handed on to the server
                await ask(_keeping(app, got), path)
        return got

    page, data = asyncio.run(work())
    words = "This page could not be made, and it is Hollowglow's own fault: ZeroDivisionError: by nothing"
    assert page.status == 500
    assert "it is Hollowglow&#x27;s own fault: ZeroDivisionError: by nothing" in page.text
    assert data.data == {"error": {"status": 500, "message": words}}


def _keeping(app: Any, got: list[Reply]) -> Any:
    """Keep what an application sent even where it raises afterwards."""

    async def kept(scope: Any, receive: Any, send: Any) -> None:
        messages: list[Any] = []

        async def sent(message: Any) -> None:
            messages.append(message)

        try:
            await app(scope, receive, sent)
        finally:
            body = b"".join(m.get("body", b"") for m in messages[1:])
            got.append(Reply(messages[0]["status"], {}, body))

    return kept
