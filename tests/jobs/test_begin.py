"""A file with nothing in it becomes a display by the lines that are proposed for it, one after the other."""

import json

import pytest

from hollowglow.file import load_text
from hollowglow.jobs.start.first_string import next_line
from hollowglow.plan import make_plan

NAMES = ["box", "my box", "yes", "Null", "12", "a, b", "{x}", "a: b", "#3", "Übung", "&a", "- a"]


def test_line_by_line_an_empty_file_becomes_a_display_with_a_string() -> None:
    text, keys = "display: x\n", []
    while not load_text(text).strings:
        line = next_line(load_text(text))
        keys.append(line.partition(":")[0])
        text += line + "\n"
    assert keys == ["supplies", "controllers", "kinds", "strings"]
    plan = make_plan(load_text(text))
    assert len(plan.assembly.props.string) == 3
    assert not plan.stopped


@pytest.mark.parametrize("name", NAMES)
def test_the_line_names_what_the_file_has_already(name: str) -> None:
    stated = {
        "display": "x",
        "supplies": {name: {"voltage": "12 V", "rating": "60 W"}, "spare": {"voltage": "12 V", "rating": "60 W"}},
        "controllers": {name: {"outputs": 1}},
        "kinds": {name: {"fill": {"light": "bullet-12mm-12v"}}},
    }
    head = "\n".join(f"{key}: {json.dumps(value, ensure_ascii=False)}" for key, value in stated.items()) + "\n"
    (string,) = load_text(head + next_line(load_text(head))).strings.values()
    assert (string.supply, string.output.controller, string.props[0].kind) == (name, name, name)
