"""GDTF and MVR reopened by other libraries: modes, channels, metres, addresses, millimetres."""

from __future__ import annotations

import csv
import io
import xml.etree.ElementTree as ET
import zipfile
from pathlib import Path

import pygdtf
import pymvr
import pytest

from hollowglow.draw.forms import absolute, gdtf_file, mvr_file
from hollowglow.file import load_text
from hollowglow.jobs.export.forms import read_forms, write_forms
from hollowglow.jobs.export.tables import addresses
from hollowglow.plan import Plan, make_plan
from hollowglow.view.open_forms import fixture_kinds, fixtures, place_words
from tests.assembly.samples import stated
from tests.outside.displays import dump

BALL = {"shell": {"shape": "sphere", "diameter": "150 mm", "transmittance": 0.45, "reflectance": 0.45}}


def planned(**more: object) -> Plan:
    return make_plan(load_text(dump(stated(kind=BALL, **more))))


@pytest.fixture(scope="module")
def wide() -> Plan:
    """Sixty props of four cells: 720 slots, so that one prop's cells lie on both sides of the end of universe 1."""
    return planned(props="60 * float", fill={"count": 4, "gang": False})


@pytest.fixture(scope="module")
def ganged() -> Plan:
    return planned(props="5 * float", fill={"count": 4, "gang": True})


def reopened(plan: Plan, folder: Path) -> tuple[list[pygdtf.FixtureType], pymvr.GeneralSceneDescription]:
    written = write_forms(plan, folder, read_forms("gdtf,mvr"))
    kinds = [pygdtf.FixtureType(str(path)) for path in written if path.suffix == ".gdtf"]
    (scene,) = [pymvr.GeneralSceneDescription(str(path)) for path in written if path.suffix == ".mvr"]
    return kinds, scene


def props_of(scene: pymvr.GeneralSceneDescription) -> list[pymvr.Fixture]:
    return [one for layer in scene.scene.layers for one in layer.child_list.fixtures]


def test_a_ganged_kind_has_one_mode_of_three_channels(ganged: Plan, tmp_path: Path) -> None:
    (kind,), _ = reopened(ganged, tmp_path)
    assert kind.name == "float"
    (mode,) = kind.dmx_modes
    assert mode.dmx_channels_count == 3
    assert [str(c.logical_channels[0].attribute) for c in mode.dmx_channels] == [
        "ColorAdd_R",
        "ColorAdd_G",
        "ColorAdd_B",
    ]
    # GDTF measures in metres: a ball of 150 mm.
    (model,) = kind.models
    assert (model.length, model.width, model.height) == pytest.approx((0.15, 0.15, 0.15))


def test_a_beam_gives_the_flux_and_takes_the_power_of_its_kind(ganged: Plan, tmp_path: Path) -> None:
    (kind,), _ = reopened(ganged, tmp_path)
    lit = ganged.optics.kinds[0]
    assert lit is not None
    beam = next(g for g in kind.geometries if isinstance(g, pygdtf.GeometryBeam))
    assert beam.luminous_flux == pytest.approx(float(lit.flux_out_lm.sum()), rel=1e-5)
    # Four lights of 3 times 18.5 mA and 1 mA idle at 12 V.
    assert beam.power_consumption == pytest.approx(4 * 12.0 * 0.0565, rel=1e-6)
    assert str(beam.beam_type) == "Glow"


def test_a_kind_of_four_cells_has_twelve_channels_and_a_mode_for_the_gap(wide: Plan, tmp_path: Path) -> None:
    (kind,), _ = reopened(wide, tmp_path)
    modes = {mode.name: mode for mode in kind.dmx_modes}
    assert set(modes) == {"4 cells 12 slots", "4 cells 12 slots one by one"}
    for mode in modes.values():
        assert mode.dmx_channels_count == 12
    # Cells one behind the other, read from the file's own references: offsets 1, 4, 7, 10 in one break.
    tops = {g.name: g for g in kind.geometries}
    spots = [(b.dmx_break, b.dmx_offset.address) for r in tops["Body 4 cells 12 slots"].geometries for b in r.breaks]
    assert spots == [(1, 1), (1, 4), (1, 7), (1, 10)]
    apart = [(c.dmx_break, c.offset[0]) for c in modes["4 cells 12 slots one by one"].dmx_channels]
    assert apart == [(b, o) for b in (1, 2, 3, 4) for o in (1, 2, 3)]


def test_every_prop_of_the_scene_has_the_slots_of_the_address_table(wide: Plan, tmp_path: Path) -> None:
    _, scene = reopened(wide, tmp_path)
    table: dict[str, list[int]] = {}
    for row in addresses(wide):
        first = absolute(row["universe"], row["first_slot"])
        table.setdefault(row["prop"], []).extend(range(first, first + 3))
    found = {}
    for prop in props_of(scene):
        starts = [512 * (a.universe - 1) + a.address for a in prop.addresses.addresses]
        width = 12 if len(starts) == 1 else 3
        found[prop.name] = [slot for start in starts for slot in range(start, start + width)]
        assert prop.gdtf_mode == ("4 cells 12 slots" if len(starts) == 1 else "4 cells 12 slots one by one")
    assert found == table
    # 42 props of 12 slots fill 504 of 512; two more cells fit (510), so prop 43 is the one with the gap.
    assert found["rail/prop43"] == [505, 506, 507, 508, 509, 510, 513, 514, 515, 516, 517, 518]


def test_places_are_millimetres(ganged: Plan, tmp_path: Path) -> None:
    _, scene = reopened(ganged, tmp_path)
    # Spans of 1 m along a straight line; the fourth row of the matrix is the place.
    assert [prop.matrix.matrix[3][0] for prop in props_of(scene)] == pytest.approx(
        [0.0, 1000.0, 2000.0, 3000.0, 4000.0]
    )
    assert (scene.version_major, scene.version_minor) == ("1", "6")


def test_the_scene_holds_the_files_that_its_props_name(ganged: Plan, tmp_path: Path) -> None:
    written = write_forms(ganged, tmp_path, read_forms("mvr"))
    with zipfile.ZipFile(written[0]) as archive:
        names = archive.namelist()
        assert names[0] == "GeneralSceneDescription.xml"
        root = ET.fromstring(archive.read(names[0]))
        assert {one.text for one in root.iter("GDTFSpec")} == set(names[1:])
        for fixture in root.iter("Fixture"):
            for tag in ("FixtureID", "FixtureIDNumeric", "UnitNumber", "GDTFMode"):
                assert fixture.findtext(tag)
        # The file inside is that of the kind by itself.
        kinds = [kind for kind in fixture_kinds(ganged) if kind is not None]
        assert archive.read(kinds[0].file_name) == gdtf_file(kinds[0])
        inner = zipfile.ZipFile(io.BytesIO(archive.read(names[1])))
        sections = [one.tag for one in ET.fromstring(inner.read("description.xml"))[0]]
    # DIN SPEC 15800 prescribes this order.
    assert sections == [
        "AttributeDefinitions", "Wheels", "PhysicalDescriptions", "Models", "Geometries", "DMXModes", "Revisions", "FTPresets",
        "Protocols",
    ]  # fmt: skip


def test_the_same_display_gives_the_same_bytes(ganged: Plan) -> None:
    def whole() -> bytes:
        kinds = fixture_kinds(ganged)
        return mvr_file("x", list(fixtures(ganged, kinds)), {k.file_name: gdtf_file(k) for k in kinds if k is not None})

    assert whole() == whole()


def test_any_name_opens_again(tmp_path: Path) -> None:
    named = stated(display='Häfen & <Stege> "✨" ' + "x" * 150, kind=BALL, props="2 * float")
    named["kinds"]["灯.<a>"] = named["kinds"].pop("float")
    named["strings"]["rail"]["props"] = "2 * 灯.<a>"
    (kind,), scene = reopened(make_plan(load_text(dump(named))), tmp_path)
    assert kind.dmx_modes[0].dmx_channels_count == 3
    assert len(props_of(scene)) == 2


def test_kinds_whose_names_differ_in_signs_or_case_only_are_files_of_their_own(tmp_path: Path) -> None:
    named = stated(kind=BALL, props=["float", "a:b", "a?b", "A-B"])
    named["kinds"] |= dict.fromkeys(("a:b", "a?b", "A-B"), named["kinds"]["float"])
    kinds, scene = reopened(make_plan(load_text(dump(named))), tmp_path)
    assert [kind.name for kind in kinds] == ["float", "a-b", "a-b 2", "A-B 3"]
    assert len({prop.gdtf_spec.casefold() for prop in props_of(scene)}) == 4
    assert len({kind.fixture_type_id for kind in kinds}) == 4


def test_the_longest_names_make_files(tmp_path: Path) -> None:
    named = stated(display="題" * 200, kind=BALL, props="float")
    named["kinds"]["長" * 60] = named["kinds"].pop("float")
    named["strings"]["rail"]["props"] = "長" * 60
    (kind,), scene = reopened(make_plan(load_text(dump(named))), tmp_path)
    assert kind.name == "長" * 60
    # pymvr takes the UTF-8 of this name for the letters of code page 437.
    assert [prop.gdtf_spec.encode("cp437").decode() for prop in props_of(scene)] == [
        p.name for p in tmp_path.glob("*.gdtf")
    ]


SET_OUT = {"line": [["1 m", "2 m", "0.5 m"], ["5 m", "2 m", "0.5 m"]]}


def test_stated_places_are_those_of_the_scene_and_of_the_table(tmp_path: Path) -> None:
    plan = planned(props="5 * float", string={"place": SET_OUT})
    # On a wall a place is across, up and towards the viewer; a scene has z up and, looking along y, x to the right.
    expected = [[1000.0 + 1000.0 * n, -500.0, 2000.0] for n in range(5)]
    _, scene = reopened(plan, tmp_path)
    assert [list(prop.matrix.matrix[3][:3]) for prop in props_of(scene)] == [pytest.approx(one) for one in expected]
    write_forms(plan, tmp_path, read_forms("csv,svg"))
    with (tmp_path / "positions.csv").open(encoding="utf-8") as stream:
        rows = list(csv.DictReader(stream))
    assert [[1e3 * float(row[key]) for key in ("across", "away", "up")] for row in rows] == [
        pytest.approx(one) for one in expected
    ]
    assert {row["place"] for row in rows} == {"stated"}
    assert "seen from the front" in (tmp_path / "positions.svg").read_text(encoding="utf-8")
    assert place_words(plan) == "at the places that the file states"


def test_on_a_plan_the_second_length_is_ahead_and_the_third_up(tmp_path: Path) -> None:
    plan = planned(props="2 * float", string={"place": SET_OUT}, place={"plane": "plan"})
    _, scene = reopened(plan, tmp_path)
    assert list(props_of(scene)[1].matrix.matrix[3][:3]) == pytest.approx([5000.0, 2000.0, 500.0])


def test_strings_without_a_place_lie_before_the_others(tmp_path: Path) -> None:
    named = stated(kind=BALL, props="3 * float", string={"place": SET_OUT})
    named["strings"]["porch"] = {k: v for k, v in named["strings"]["rail"].items() if k != "place"} | {
        "output": "box/2"
    }
    plan = make_plan(load_text(dump(named)))
    _, scene = reopened(plan, tmp_path)
    spots = {prop.name: list(prop.matrix.matrix[3][:3]) for prop in props_of(scene)}
    assert spots["rail/prop03"] == pytest.approx([5000.0, -500.0, 2000.0])
    assert spots["porch/prop02"] == pytest.approx(
        [2000.0, -1500.0, 0.0]
    )  # a span of 1 m on from 1 m, 1 m before the wall
    assert place_words(plan) == (
        "at the places that the file states, but those of porch set out along a straight line for each string, at the "
        "lengths of its spans"
    )
