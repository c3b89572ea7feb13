"""Every key that a command writes as JSON is explained, and no other."""

from __future__ import annotations

from collections.abc import Iterator
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any

import pytest
from tools import docs
from tools.command_keys import AS_IN_FILE, COMMAND_KEYS, SAME_KEYS
from tools.json_keys import found_keys

from hollowglow.assembly import expand
from hollowglow.file import load
from hollowglow.jobs import characterise, feed, tolerance
from hollowglow.jobs.filling import fill
from hollowglow.jobs.matching import match
from hollowglow.jobs.matching import photographs as photo
from hollowglow.jobs.matching.kept import taking_of
from hollowglow.jobs.shows import analyse, walk
from hollowglow.measured.readings import Answered, keep_answer
from hollowglow.show.demand import AddressMap
from tests.jobs.test_photo import DISPLAY
from tests.measured.photo.made import Prop
from tests.measured.photo.yard import PROPS, shoot
from tests.show.demand.captures import write_capture

READINGS = ["12 V: red 19 mA, green 18 mA, blue 18 mA, off 1 mA", "5 V: red 10 mA, green 9 mA, blue 8 mA, off 1 mA"]


@pytest.fixture(scope="module")
def demo() -> Iterator[Path]:
    with as_file(files("hollowglow.file") / "demo" / "landing.yaml") as path:
        yield path


def photographs(folder: Path) -> dict[str, Any]:
    """A photograph with a dim prop among its like and one short exposure, so that everything is there to tell."""
    (folder / "two.yaml").write_text(DISPLAY, encoding="utf-8")
    dim = [*PROPS[:2], Prop(150, 370, 30, 0.35), *PROPS[3:]]
    more = [Prop(60, 90 + 140 * i, 30, 0.5) for i in range(3)]
    seen = photo.see([shoot(folder / "a.jpg", [*dim, *more], time_s=1 / 500)])
    labels = {p.number: "float" if p.area > 2000 else "acorn" for p in seen.all_props}
    done = photo.photograph_kinds(
        load(folder / "two.yaml"), seen, ",".join(f"{n}={kind}" for n, kind in labels.items())
    )
    assert done.judged.outliers
    assert seen.cautions
    return photo.photo_document(seen, done, taking_of(load(folder / "two.yaml"), done))


def written(command: str, demo: Path, folder: Path) -> list[dict[str, Any]]:
    match command:
        case "match":
            spare = folder / "spare.yaml"
            text = demo.read_text(encoding="utf-8")
            spare.write_text(
                text.replace("kinds:\n", "kinds:\n  spare: {fill: {light: bullet-12mm-12v}}\n", 1),
                encoding="utf-8",
            )
            return [match.match_document(match.match_file(spare)) | {"photographs": photographs(folder)}]
        case "fill":
            return [fill.fill_document(fill.fill_file(demo, "acorn"))]
        case "feed":
            return [feed.document(feed.feed_file(demo))]
        case "tolerance":
            return [tolerance.document(*tolerance.tolerance_file(demo, 100))]
        case "analyse":
            addresses = AddressMap.of(expand(load(demo)))
            write_capture(folder / "a.pcap", addresses.universes, [addresses.full(), addresses.dark()], [0.0, 2.0])
            return [analyse.document(analyse.analyse(demo, folder / "a.pcap"))]
        case "walk --report":
            own = folder / "own.yaml"
            own.write_text(demo.read_text(encoding="utf-8"), encoding="utf-8")
            at = "2026-11-25T17:00:00+00:00"
            keep_answer(own, Answered("1", at, "prop", "gable/prop03", "dark", "", "cap is wet"))
            return [walk.walk_document(walk.report_walk(own))]
    return [characterise.document(characterise.characterise_part(demo, "bullet-12mm-12v", READINGS))]


@pytest.mark.parametrize("command", COMMAND_KEYS)
def test_every_key_of_a_commands_document_is_explained_and_no_other(command: str, demo: Path, tmp_path: Path) -> None:
    explained = {path: set(keys) for path, (_, keys) in COMMAND_KEYS[command].items()}
    for path, like in SAME_KEYS.get(command, {}).items():
        explained[path] = explained[like]
    found: dict[str, set[str]] = {}
    for document in written(command, demo, tmp_path):
        for path, keys in found_keys(document).items():
            if path not in AS_IN_FILE.get(command, set()):
                found.setdefault(path, set()).update(keys)
    # A finding, a place that was left out and an alternative need not be there in the demo; what is there is explained.
    missing = {path: keys for path, keys in explained.items() if path not in found}
    assert set(missing) <= {"findings", "left_out", "strings.after.findings"}
    assert found == {path: keys for path, keys in explained.items() if path in found}


def test_the_document_has_a_chapter_for_every_command() -> None:
    for command in COMMAND_KEYS:
        assert f"\n# `{command} --json`\n" in docs.json_keys()
