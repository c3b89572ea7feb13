"""What docs/contributing.md says to do can be done: its commits, places and options are there, its hooks fetch nothing."""

import importlib.util
import re
import subprocess
from pathlib import Path

import pytest
from ruamel.yaml import YAML

ROOT = Path(__file__).resolve().parents[2]
TEXT = (ROOT / "docs" / "contributing.md").read_text(encoding="utf-8")
RECIPES = dict(re.findall(r"^### (.*)\n((?:(?!^###? ).*\n?)*)", TEXT.partition("## Recipes")[2], flags=re.MULTILINE))
# Below src/hollowglow unless they name where they are.
PLACES = sorted(
    set(re.findall(r"`([a-z_]+(?:/[A-Za-z_]+)*(?:\.[a-z]+|/))`", TEXT)) - {"model.md", "findings.md", "json.md"}
)


def test_there_is_a_recipe_for_what_is_added_most_often() -> None:
    words = ("key", "characteristic", "finding", "shape", "export", "command with a page")
    assert len(RECIPES) == len(words)
    assert all(any(word in name for name in RECIPES) for word in words), RECIPES.keys()


@pytest.mark.parametrize("name", RECIPES)
def test_a_recipe_names_a_commit_to_imitate(name: str) -> None:
    found = re.findall(r'^Imitate: "([^"]+)"', RECIPES[name], flags=re.MULTILINE)
    assert len(found) == 1
    # A source archive has no history; a shallow clone not all of it.
    whole = subprocess.run(
        ["git", "rev-parse", "--is-shallow-repository"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    if whole.stdout.strip() == "false":
        subjects = subprocess.run(["git", "log", "--format=%s"], cwd=ROOT, capture_output=True, text=True, check=True)
        assert found[0] in subjects.stdout.splitlines()


@pytest.mark.parametrize("place", PLACES)
def test_a_place_that_it_names_is_there(place: str) -> None:
    roots = (ROOT, ROOT / "docs", ROOT / "src" / "hollowglow")
    assert any((root / place).exists() for root in roots)


def test_what_start_is_told_is_what_it_knows() -> None:
    specification = importlib.util.spec_from_file_location("start", ROOT / "start.py")
    assert specification is not None
    assert specification.loader is not None
    start = importlib.util.module_from_spec(specification)
    specification.loader.exec_module(start)
    asked = set(re.findall(r"python3 start\.py (--[a-z]+)", TEXT))
    assert asked == {"--quick", "--test"}
    assert all(f"start.py {one} " in start.__doc__ for one in asked)


def test_the_hooks_before_a_commit_run_programs_of_the_environment_alone() -> None:
    stated = YAML(typ="safe").load((ROOT / ".pre-commit-config.yaml").read_text(encoding="utf-8"))
    assert [one["repo"] for one in stated["repos"]] == ["local"]
    for hook in stated["repos"][0]["hooks"]:
        assert hook["language"] == "system"
        assert hook["entry"].startswith(".venv/bin/")
