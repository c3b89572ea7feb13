"""The Place room offers only keys that may stand in the file."""

from __future__ import annotations

import pytest

from hollowglow.file import load_text
from hollowglow.plan import make_plan
from hollowglow.web.page.rooms import Ask
from hollowglow.web.rooms.place.view import view
from tests.analysis.site.placement.samples import FILE, yard


@pytest.mark.parametrize(
    ("span", "offered"), [("{extension: extension-18awg-0.5m}", "extension"), ("{length: drawn}", "length")]
)
def test_a_string_on_extensions_is_offered_another_extension_and_no_length(span: str, offered: str) -> None:
    plan = make_plan(load_text(yard(("span: {length: drawn}", f"span: {span}")), FILE))
    fields = view(plan, Ask({}, "metric"))["fields"]["string"]
    (own,) = [one for one in fields if one["path"][:3] == ["strings", "rail", "span"]]
    assert own["path"][3:] == [offered]
    assert ("extension-18awg-1m" in own["choices"]) == (offered == "extension")
