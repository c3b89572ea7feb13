"""The pictures of kinds: what is in them, at which level, and that every file is whole SVG."""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree
from pathlib import Path

import numpy as np
import pytest

from hollowglow.draw.sheet.records import Drawing, Text
from hollowglow.file import load_text
from hollowglow.jobs.export.tables import write_svg
from hollowglow.plan import Plan
from hollowglow.search.fill import Candidate, compare, rank
from hollowglow.view.pictures.kinds import (
    fill_row,
    glow_of_kinds,
    glow_picture,
    pictures_of_kinds,
    polar_of,
    section_of,
    templates_of,
)
from tests.assembly.samples import Stated, changed, planned, stated
from tests.outside.displays import dump

BALL: Stated = {"shape": "sphere", "diameter": "150 mm", "transmittance": 0.4, "reflectance": 0.45}
DISC: Stated = {"shape": "disc", "diameter": "70 mm", "above_base": "70 mm"}


def garden(**kind: Stated) -> Stated:
    display = stated(
        props="2 * float",
        kind={"shell": BALL, "carrier": DISC, "fill": {"light": "bullet-12mm-12v", "count": 3}, **kind},
    )
    display["kinds"]["bare"] = {"fill": {"light": "bullet-12mm-12v"}}
    return display


@pytest.fixture(scope="module")
def plan() -> Plan:
    return planned(garden())


def words(drawing: Drawing | None) -> str:
    assert drawing is not None
    return "\n".join(r.text for r in drawing.records if isinstance(r, Text))


def test_a_kind_without_a_shell_has_no_pictures(plan: Plan) -> None:
    row = plan.assembly.kinds.names.index("bare")
    assert section_of(plan, row) is None
    assert polar_of(plan, row) is None
    assert list(templates_of(plan, row)) == []
    assert "bare" not in words(glow_of_kinds(plan))
    assert not any("bare" in name for name, _ in pictures_of_kinds(plan))


def test_a_kind_with_shell_and_carrier_has_all_of_them(plan: Plan) -> None:
    names = [name for name, _ in pictures_of_kinds(plan)]
    assert names[:3] == ["glow", "section-float", "polar-float"]
    assert any(name.startswith("template-float-tip") for name in names)


def test_the_night_shows_the_level_of_the_file() -> None:
    full, half = (planned(changed(garden(), "levels.float", level)) for level in ("100 %", "50 %"))
    pictures = []
    for one in (full, half):
        kind = one.optics.kinds[0]
        assert kind is not None
        level = one.assembly.display.level("float")
        pictures.append(glow_picture("float", kind, one.assembly.kinds.xy[0], "tip down", 10.0, level=level))
    assert 0.5 * pictures[0].luminance_cd_m2 == pytest.approx(pictures[1].luminance_cd_m2, rel=1e-9)
    assert 0.5 * pictures[0].mean_cd_m2 == pytest.approx(pictures[1].mean_cd_m2)
    assert "level 50 %" in words(glow_of_kinds(half))


def test_a_prop_that_hangs_tip_down_is_drawn_with_its_tip_below() -> None:
    # One light that looks to the tip, so the tip is the brighter end.
    fill = {"light": "bullet-12mm-12v", "positions": [["0 mm", "0 mm", "75 mm"]], "axes": [[0, 0, 1]]}
    for hangs, tip_rows in (("tip down", slice(64, None)), ("tip up", slice(0, 96))):
        made = planned(changed(changed(garden(fill=fill), "kinds.float.carrier", None), "kinds.float.hangs", hangs))
        kind = made.optics.kinds[0]
        assert kind is not None
        picture = glow_picture("float", kind, made.assembly.kinds.xy[0], hangs, 10.0).luminance_cd_m2.sum(axis=2)
        rows = picture.sum(axis=1)
        half = len(rows) // 2
        top, bottom = rows[:half].sum(), rows[-half:].sum()
        assert (bottom > 1.3 * top) == (hangs == "tip down"), (hangs, tip_rows)
        assert (top > 1.3 * bottom) == (hangs == "tip up")


def test_the_eye_at_a_distance_loses_peaks_and_keeps_the_mean(plan: Plan) -> None:
    kind = plan.optics.kinds[0]
    assert kind is not None
    picture = glow_picture("float", kind, plan.assembly.kinds.xy[0], "tip down", 60.0)
    assert picture.seen_cd_m2 is not None
    assert picture.seen_cd_m2.max() < picture.luminance_cd_m2.max()
    lit = picture.luminance_cd_m2.sum(axis=2) > 0.0
    near, far = picture.luminance_cd_m2.sum(axis=2)[lit].mean(), picture.seen_cd_m2.sum(axis=2)[lit].mean()
    assert far == pytest.approx(near, rel=0.1)


def test_the_cut_shows_what_is_drilled(plan: Plan) -> None:
    told = words(section_of(plan, 0))
    assert "3 lights" in told
    assert "drain" in told
    assert "disc carrier" in told
    assert "150 mm" in told


def test_the_polar_curve_is_that_of_the_kind_at_its_level(plan: Plan) -> None:
    drawing = polar_of(plan, 0)
    assert "cd" in words(drawing)


def test_a_template_names_both_drills(plan: Plan) -> None:
    ((_, sheet), *_) = templates_of(plan, 0)
    told = words(sheet)
    assert "12 mm" in told or "12.5 mm" in told
    assert "in" in told


def test_the_best_fills_stand_in_one_row_with_what_the_file_says() -> None:
    few = [
        Candidate("bullet-12mm-12v", 3, None, False, now=True),
        Candidate("bullet-12mm-12v", 6, "ring", False),
        Candidate("puck-9led-12v", 1, "stand-off", True),
    ]
    ranking = rank(compare(load_text(dump(garden())), "float", few))
    told = words(fill_row(ranking))
    assert "as the file says" in told
    assert "puck-9led-12v" in told


def test_every_picture_file_is_whole(plan: Plan, tmp_path: Path) -> None:
    written = write_svg(plan, tmp_path)
    assert {"glow.svg", "section-float.svg", "polar-float.svg"} <= {p.name for p in written}
    for path in written:
        root = ElementTree.parse(path).getroot()
        assert root.tag.endswith("svg")
        assert np.isfinite(float(root.attrib["viewBox"].split()[2]))


def test_a_light_outside_of_the_shell_is_told_and_the_rest_is_drawn(tmp_path: Path) -> None:
    places = [["0 mm", "0 mm", "60 mm"], ["0 mm", "0 mm", "600 mm"]]
    made = planned(garden(fill={"light": "bullet-12mm-12v", "count": 2, "positions": places}))
    assert "Not drawn: 1 light outside of the room in the shell." in words(section_of(made, 0))
    assert "section-float.svg" in {p.name for p in write_svg(made, tmp_path)}
    assert "light-not-computed" in {f.code for f in made.findings}


@pytest.mark.parametrize(
    ("shell", "why"),
    [
        ({**BALL, "wall": "80 mm"}, "the wall is 80 mm thick, which leaves no room inside the shell"),
        ({"shape": "box", "width": "200 mm", "height": "2 mm", "depth": "40 mm"}, "the wall is 2 mm thick"),
        ({"shape": "lathe", "profile": [["40 mm", "20 mm"], ["30 mm", "20 mm"]]}, "the profile encloses no space"),
    ],
)
def test_a_shell_without_room_is_told_and_the_other_pictures_are_written(
    shell: Stated, why: str, tmp_path: Path
) -> None:
    display = garden()
    display["kinds"]["float"] = {"shell": shell, "fill": {"light": "bullet-12mm-12v"}}
    made = planned(display)
    assert section_of(made, 0) is None
    assert any(why in f.message for f in made.findings if f.code == "light-not-computed")
    assert write_svg(made, tmp_path)
