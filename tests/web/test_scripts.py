"""Our scripts keep the types that their comments state, stay small, and load nothing from elsewhere."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from hollowglow.web.resources import HERE, folders
from tests.web.conftest import from_npm

SCRIPTS = sorted(one for folder in folders("static") for one in folder.glob("*.js"))
RULES = (
    "--noEmit --allowJs --checkJs --strict --noImplicitOverride --noUnusedLocals --target es2022 --module es2022 "
    "--moduleResolution bundler --lib es2022,dom,dom.iterable"
)


def test_the_types_hold() -> None:
    node = shutil.which("node")
    assert node is not None, "node is not installed; python3 start.py --test installs it"
    command = [node, str(from_npm("typescript", "bin/tsc")), *RULES.split(), *map(str, SCRIPTS)]
    done = subprocess.run(command, cwd=HERE, capture_output=True, text=True, timeout=600, check=False)
    assert (done.returncode, done.stdout) == (0, "")


@pytest.mark.parametrize("script", SCRIPTS, ids=lambda path: path.name)
def test_a_script_is_small_and_names_no_other_host(script: Path) -> None:
    text = script.read_text(encoding="utf-8")
    assert text.count("\n") < 400
    assert text.startswith("// "), "its first line says what it is for"
    assert not re.search(r"https?://(?!www\.w3\.org/)", text)
    assert not re.search(r"\beval\(|new Function\(|innerHTML\s*=|document\.write", text)
