"""What forms answer: all that is wrong at once, each beside its field, and nothing that was typed is lost."""

from __future__ import annotations

import asyncio
import re
from pathlib import Path

import pytest

from hollowglow.jobs.start.demo import write_demo
from hollowglow.messages.refusal import FormError
from hollowglow.plan import Plan
from hollowglow.web.desk.values import at, plain
from hollowglow.web.forms.adding import first_of
from tests.web.asking import ask, bench_of

FIRST = {
    "display": "Porch", "name": "globe", "shape": "sphere", "size": "150 mm", "light": "puck-3led-12v", "count": "1",
    "string": "eaves", "props": "12", "spacing": "1 m", "supply": "shed", "part": "supply-12v-100w",
}  # fmt: skip


def test_all_that_is_wrong_in_a_form_is_told_at_once() -> None:
    with pytest.raises(FormError) as told:
        first_of(FIRST | {"display": " ", "size": "big", "props": "-3"})
    assert told.value.fields == {
        "display": "The name of the display is missing.",
        "size": 'The size of the shell: found "big", expected a length like "6 ft" or "1.8 m" (from 0.01 mm to 2000 m).',
        "props": 'How many props: found "-3", expected a whole number from 1 to 100,000.',
    }


def test_a_first_display_has_the_names_that_were_typed() -> None:
    made = first_of(FIRST | {"part": "supply-24v-150w"})
    assert list(made["strings"]) == ["eaves"]
    assert made["strings"]["eaves"]["supply"] == "shed"
    assert made["supplies"] == {"shed": {"part": "supply-24v-150w"}}


def test_a_part_that_there_is_not_is_told_beside_the_field_it_was_chosen_in(tmp_path: Path, demo_plan: Plan) -> None:
    async def scene() -> None:
        _, app = await bench_of(tmp_path / "porch.yaml", demo_plan)
        reply = await ask(app, "/begin", FIRST | {"light": "lamp"})
        assert reply.status == 422
        assert re.search(
            r'<select id="in-light" name="light" aria-invalid="true" aria-describedby="in-light-wrong">', reply.text
        )
        assert re.search(r'id="in-light-wrong">found &#34;lamp&#34;', reply.text)
        assert 'role="alert"' not in reply.text
        assert not (tmp_path / "porch.yaml").exists()

    asyncio.run(scene())


def test_a_key_that_has_to_be_there_is_missed_beside_its_field(tmp_path: Path, demo_plan: Plan) -> None:
    async def scene() -> None:
        desk, app = await bench_of(write_demo(tmp_path)[0], demo_plan)
        path = '["strings", "gable", "props"]'
        reply = await ask(app, "/put", {f"put:{path}": "", f"seen:{path}": "x", "back": "/feed?string=gable"})
        assert reply.status == 422
        assert re.search(r'id="at-strings-gable-props-wrong">found no props, expected', reply.text)
        assert "props" in desk.text

    asyncio.run(scene())


def test_what_was_typed_is_kept_when_the_file_says_something_else_by_now(tmp_path: Path, demo_plan: Plan) -> None:
    async def scene() -> None:
        desk, app = await bench_of(write_demo(tmp_path)[0], demo_plan)
        path = '["strings", "gable", "lead", "length"]'
        before = desk.text
        form = {f"put:{path}": "9 m", f"was:{path}": '"1 m"', f"seen:{path}": "1 m", "back": "/feed?string=gable"}
        reply = await ask(app, "/put", form)
        assert (reply.status, desk.text) == (409, before)
        assert 'value="9 m"' in reply.text
        stated = at(plain(before), ("strings", "gable", "lead", "length"))
        said = (
            f'id="at-strings-gable-lead-length-wrong">The file says &#34;{stated}&#34; by now, so nothing was changed.'
        )
        assert said in reply.text
        again = form | {f"was:{path}": f'"{stated}"'}
        assert (await ask(app, "/put", again)).status == 303
        assert "length: 9 m" in desk.text

    asyncio.run(scene())


def test_what_is_typed_into_one_form_does_not_turn_up_in_another(tmp_path: Path, demo_plan: Plan) -> None:
    async def scene() -> None:
        _, app = await bench_of(write_demo(tmp_path)[0], demo_plan)
        reply = await ask(app, "/add", {"sort": "supply", "name": "barn", "part": "none such", "back": "/feed"})
        assert 'id="in-supply-name" name="name" value="barn"' in reply.text
        assert 'id="in-string-name" name="name" value=""' in reply.text
        place = await ask(
            app, "/place/do", {"act": "shift", "string": "gable", "x": "far", "y": "1 m", "back": "/place"}
        )
        assert re.search(r'id="do-shift-x" name="x" value="far"[^>]* aria-invalid="true"', place.text)
        assert 'id="do-copy-x" name="x" value="0 m"' in place.text
        ids = re.findall(r' id="([^"]+)"', reply.text)
        assert sorted(set(ids)) == sorted(ids)

    asyncio.run(scene())


def test_nothing_is_written_back_over_a_file_that_is_there(tmp_path: Path, demo_plan: Plan) -> None:
    async def scene() -> None:
        desk, app = await bench_of(write_demo(tmp_path)[0], demo_plan)
        desk.path.write_text("display: Another\n", encoding="utf-8")
        reply = await ask(app, "/write-back", {"back": "/feed"})
        assert reply.status == 409
        assert "is there, so nothing was written over it. Read it again instead." in reply.text
        assert desk.path.read_text(encoding="utf-8") == "display: Another\n"

    asyncio.run(scene())
