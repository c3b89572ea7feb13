"""Before and after in one picture: the numbers drawn are those given, and what was differs by pattern."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from itertools import combinations

import pytest

from hollowglow.draw.circuit.before_after import before_after
from hollowglow.draw.circuit.profile import Profile
from hollowglow.draw.sheet.records import Drawing, Polyline, Role, Text
from hollowglow.draw.sheet.style import STYLES
from hollowglow.draw.sheet.svg import to_svg
from hollowglow.draw.sheet.terminal import to_text
from tests.draw.samples import PROFILES, ladder

BEFORE = ladder(12, 0.2, 1.3, limit_v=9.5)
AFTER = ladder(12, 0.1, 1.3, limit_v=9.5, feeds=((14.8, "feed shed"),))


ROLES: tuple[Role, ...] = (
    *("across", "coincident", "plus", "minus"),
    *("was_across", "was_coincident", "was_plus", "was_minus"),
)


def curves(drawing: Drawing, role: Role) -> list[Polyline]:
    return [r for r in drawing.records if isinstance(r, Polyline) and r.role == role and not r.closed]


def words(drawing: Drawing) -> list[str]:
    return [r.text for r in drawing.records if isinstance(r, Text)]


def test_both_rails_and_both_operating_points_are_drawn_before_and_after() -> None:
    drawn = before_after(BEFORE, AFTER)
    for role in ROLES:
        (line,) = curves(drawn, role)
        assert len(line.points) == 12
    for label in ("limit 9.50 V", "supply 12.00 V", "V+ before", "V+ after", "V− before", "V− after", "feed shed"):
        assert label in words(drawn)


def heights(profile: Profile, values: tuple[float, ...], line: Polyline) -> None:
    """The curve is a straight map of the values: one scale fits all its points."""
    assert len(profile.distance_m) == len(line.points)
    ys = [y for _, y in line.points]
    scale = (ys[-1] - ys[0]) / (values[-1] - values[0])
    assert ys == pytest.approx([ys[0] + scale * (v - values[0]) for v in values], abs=1e-6)


def test_curves_are_drawn_to_one_scale() -> None:
    drawn = before_after(BEFORE, AFTER)
    for role, profile, values in (
        ("was_across", BEFORE, BEFORE.v_across),
        ("across", AFTER, AFTER.v_across),
        ("was_minus", BEFORE, BEFORE.v_minus),
        ("minus", AFTER, AFTER.v_minus),
    ):
        heights(profile, values, curves(drawn, role)[0])  # type: ignore[arg-type]
    was, now = curves(drawn, "was_across")[0], curves(drawn, "across")[0]
    assert was.points[-1][1] > now.points[-1][1]  # lower on the page is less voltage
    assert [x for x, _ in was.points] == [x for x, _ in now.points]


def test_the_lowest_light_of_each_is_named() -> None:
    said = words(before_after(BEFORE, AFTER))
    low = min(BEFORE.v_coincident)
    assert f"before: lowest {low:.2f} V" in said
    assert "at prop 12, below the limit" in said
    assert f"after: lowest {min(AFTER.v_coincident):.2f} V" in said


def test_before_and_after_differ_in_pattern_on_paper_and_on_a_terminal() -> None:
    for one, other in combinations(ROLES, 2):
        assert (STYLES[one].dash_mm, STYLES[one].width_mm) != (STYLES[other].dash_mm, STYLES[other].width_mm)
    for role in ("across", "coincident", "plus", "minus"):
        was: Role = f"was_{role}"  # type: ignore[assignment]
        assert STYLES[was].dash_mm != STYLES[role].dash_mm  # type: ignore[index]
        assert STYLES[was].dash_dots != STYLES[role].dash_dots  # type: ignore[index]
        assert STYLES[was].dash_mm


@pytest.mark.parametrize("name", PROFILES)
def test_any_string_can_be_drawn_and_stays_on_its_page(name: str) -> None:
    profile = PROFILES[name]
    drawn = before_after(profile, profile)
    svg = ET.fromstring(to_svg(drawn))
    assert svg.tag.endswith("svg")
    assert to_text(drawn, 100, 40)
    for record in drawn.records:
        if isinstance(record, Polyline):
            for x, y in record.points:
                assert -0.01 <= x <= drawn.width_mm
                assert -0.01 <= y <= drawn.height_mm


def test_the_description_tells_what_the_picture_shows() -> None:
    assert before_after(BEFORE, AFTER, title="Rail").title == "Rail"
    assert before_after(BEFORE, AFTER).description == (
        "Voltages of one string against distance from the supply end; lowest across a light: before "
        f"{min(BEFORE.v_coincident):.2f} V at prop 12; after {min(AFTER.v_coincident):.2f} V at prop 12. The limit is 9.50 V."
    )
    dark = PROFILES["dark"]
    assert "before no light gets V+" in before_after(dark, ladder(16)).description


def test_strings_of_other_length_and_small_pages_are_refused() -> None:
    with pytest.raises(ValueError, match="12 props before and 11 after, expected the same string"):
        before_after(BEFORE, ladder(11))
    with pytest.raises(ValueError, match="90 mm by 62 mm was asked for, expected at least 100 mm by 30 mm"):
        before_after(BEFORE, AFTER, width_mm=90)
