"""start.py installs what changed and says what is wrong; locks and docs agree with the project."""

import ast
import importlib.util
import json
import re
import subprocess
import sys
import tomllib
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture
def start(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """start.py as a module, with its places moved into an empty folder."""
    specification = importlib.util.spec_from_file_location("start", ROOT / "start.py")
    assert specification is not None
    assert specification.loader is not None
    module = importlib.util.module_from_spec(specification)
    specification.loader.exec_module(module)
    monkeypatch.setattr(module, "ROOT", tmp_path)
    monkeypatch.setattr(module, "LOCK", tmp_path / "lock")
    monkeypatch.setattr(module, "VENV", tmp_path / ".venv")
    monkeypatch.setattr(module, "STAMP", tmp_path / ".venv" / "made-by-start.json")
    monkeypatch.setattr(module, "NODE", tmp_path / ".venv" / "node")
    monkeypatch.setattr(module, "DEMO", tmp_path / "demo")
    (tmp_path / "lock").mkdir()
    (tmp_path / "src").mkdir()
    for name in ("lock/run.txt", "lock/build.txt", "lock/test.txt", "pyproject.toml", "src/one.py"):
        (tmp_path / name).write_text(name, encoding="utf-8")
    return module


def test_it_parses_on_a_python_too_old_to_run_it() -> None:
    ast.parse((ROOT / "start.py").read_text(encoding="utf-8"), feature_version=(3, 6))


def test_an_old_python_is_told_which_one_is_needed(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    source = compile((ROOT / "start.py").read_text(encoding="utf-8"), str(ROOT / "start.py"), "exec")
    monkeypatch.setattr(sys, "version_info", (3, 9, 18, "final", 0))
    with pytest.raises(SystemExit) as stopped:
        exec(source, {"__name__": "__main__", "__file__": str(ROOT / "start.py")})
    assert stopped.value.code == 2
    assert capsys.readouterr().err == (
        "Hollowglow needs Python 3.11 or newer, and this is Python 3.9.\n"
        "Install a newer Python and start again with it, for example: python3.12 start.py\n"
    )


def test_no_supported_python_is_too_old(start: ModuleType) -> None:
    assert [start.too_old(3, minor) for minor in (11, 12, 13, 14)] == ["", "", "", ""]


def test_nothing_is_due_when_nothing_changed(start: ModuleType) -> None:
    wanted = start.wanted_stamp()
    assert start.steps_due(wanted, wanted, "demo") == []
    assert start.steps_due(wanted, wanted, "quick") == []


def test_the_whole_run_always_builds_the_wheel_that_it_tests(start: ModuleType) -> None:
    wanted = start.wanted_stamp()
    assert start.steps_due(wanted, wanted, "test") == ["wheel"]


def test_the_source_itself_and_a_wheel_take_turns(start: ModuleType) -> None:
    wanted = start.wanted_stamp()
    source = {key: value for key, value in wanted.items() if key != "project"}
    wheel = {key: value for key, value in wanted.items() if key != "editable"}
    assert [start.steps_due(source, wanted, purpose) for purpose in ("demo", "quick", "test")] == [[], [], ["wheel"]]
    assert start.steps_due(wheel, wanted, "demo") == []
    assert start.steps_due(wheel, wanted, "quick") == ["editable"]


def test_the_source_itself_follows_a_changed_module_by_itself(start: ModuleType) -> None:
    found = {key: value for key, value in start.wanted_stamp().items() if key != "project"}
    (start.ROOT / "src" / "one.py").write_text("changed", encoding="utf-8")
    assert start.steps_due(found, start.wanted_stamp(), "quick") == []
    (start.ROOT / "pyproject.toml").write_text("changed", encoding="utf-8")
    assert start.steps_due(found, start.wanted_stamp(), "quick") == ["editable"]


def test_a_wheel_is_built_and_that_is_installed(start: ModuleType, monkeypatch: pytest.MonkeyPatch) -> None:
    made = start.VENV / "wheel"
    made.mkdir(parents=True)
    (made / "old.whl").touch()
    called: list[list[str]] = []

    def run(command: list[str], _: str) -> None:
        called.append(command)
        if "wheel" in command:
            made.mkdir()
            (made / "hollowglow-9-py3-none-any.whl").touch()

    monkeypatch.setattr(start, "run_quietly", run)
    start.install_wheel()
    build, install = called
    assert build[-1] == str(start.ROOT)
    assert install[-1] == str(made / "hollowglow-9-py3-none-any.whl")
    assert str(start.ROOT) not in install
    assert "old.whl" not in " ".join(install)


def test_all_is_due_in_a_new_place(start: ModuleType) -> None:
    wanted = start.wanted_stamp()
    assert start.steps_due({}, wanted, "demo") == ["venv", "run", "wheel"]
    assert start.steps_due({}, wanted, "test") == ["venv", "run", "test", "wheel"]
    assert start.steps_due({}, wanted, "quick") == ["venv", "run", "test", "editable"]


def test_test_packages_are_added_to_an_environment_without_them(start: ModuleType) -> None:
    wanted = start.wanted_stamp()
    found = {key: value for key, value in wanted.items() if key != "test"}
    assert start.steps_due(found, wanted, "demo") == []
    assert start.steps_due(found, wanted, "test") == ["test", "wheel"]
    assert start.steps_due(found, wanted, "quick") == ["test"]


@pytest.mark.parametrize(
    ("changed", "due"),
    [
        ("lock/run.txt", ["venv", "run", "test", "wheel"]),
        ("lock/build.txt", ["venv", "run", "test", "wheel"]),
        ("lock/test.txt", ["venv", "run", "test", "wheel"]),
        ("pyproject.toml", ["wheel"]),
        ("src/one.py", ["wheel"]),
    ],
)
def test_a_changed_file_makes_its_steps_due(start: ModuleType, changed: str, due: list[str]) -> None:
    before = start.wanted_stamp()
    (start.ROOT / changed).write_text("changed", encoding="utf-8")
    assert start.steps_due(before, start.wanted_stamp(), "test") == due


def test_a_new_source_file_makes_the_project_due_but_bytecode_does_not(start: ModuleType) -> None:
    before = start.wanted_stamp()
    del before["editable"]
    (start.ROOT / "src" / "__pycache__").mkdir()
    (start.ROOT / "src" / "__pycache__" / "one.pyc").write_bytes(b"x")
    assert start.steps_due(before, start.wanted_stamp(), "demo") == []
    (start.ROOT / "src" / "two.py").touch()
    assert start.steps_due(before, start.wanted_stamp(), "demo") == ["wheel"]


def test_a_moved_environment_is_made_anew(start: ModuleType) -> None:
    wanted = start.wanted_stamp()
    moved = wanted | {"place": "somewhere else"}
    assert start.steps_due(moved, wanted, "demo") == ["venv", "run", "wheel"]


def test_a_stamp_that_cannot_be_read_counts_as_none(start: ModuleType) -> None:
    assert start.read_stamp() == {}
    start.VENV.mkdir()
    start.STAMP.write_text("[1, 2", encoding="utf-8")
    assert start.read_stamp() == {}


def test_a_missing_venv_package_is_named(
    start: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(start.importlib.util, "find_spec", lambda name: None if name == "ensurepip" else name)
    assert start.main([]) == 1
    major, minor = sys.version_info[:2]
    assert capsys.readouterr().err == (
        "This Python cannot make environments: a part that Debian and Ubuntu pack separately is missing.\n"
        f"Install it, then start again: sudo apt-get install python{major}.{minor}-venv\n"
    )
    assert not start.VENV.exists()


def test_an_environment_made_by_someone_else_is_left_alone(
    start: ModuleType, capsys: pytest.CaptureFixture[str]
) -> None:
    start.VENV.mkdir()
    (start.VENV / "theirs").touch()
    assert start.main([]) == 1
    assert capsys.readouterr().err == (
        f"{start.VENV} is there already, and start.py did not make it.\nMove it away or delete it, then start again.\n"
    )
    assert (start.VENV / "theirs").exists()


def test_a_failing_command_shows_the_end_of_what_it_said(start: ModuleType) -> None:
    shout = "print(*range(1000), sep='\\n'); raise SystemExit(3)"
    with pytest.raises(start.StartError) as failed:
        start.run_quietly([sys.executable, "-c", shout], "It failed:")
    lines = str(failed.value).splitlines()
    assert lines[0] == "It failed:"
    assert lines[1:] == [f"    {number}" for number in range(975, 1000)]


def test_a_plan_that_stops_is_expected_of_the_demo_and_no_other_failure_is(
    start: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    start.DEMO.mkdir()
    (start.DEMO / "landing.yaml").touch()
    status = 1
    monkeypatch.setattr(start.subprocess, "run", lambda command, **_: subprocess.CompletedProcess(command, status))
    assert start.show_demo() == 0
    assert "the demo has honest mistakes in it" in capsys.readouterr().out
    status = 0
    assert start.show_demo() == 0
    assert "honest mistakes" not in capsys.readouterr().out
    status = 2
    with pytest.raises(start.StartError, match="Planning the demo ended with status 2"):
        start.show_demo()


def test_an_unknown_argument_shows_how_to_call_it(start: ModuleType, capsys: pytest.CaptureFixture[str]) -> None:
    assert start.main(["--tests"]) == 2
    assert "python3 start.py --test [arguments for pytest]" in capsys.readouterr().out


def test_pytest_runs_everything_side_by_side_unless_told_what_to_run(
    start: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    (start.ROOT / "tests").mkdir()
    monkeypatch.setattr(start.os, "cpu_count", lambda: 2)
    everything = ["-n", "2", "--pyargs", "hollowglow", str(start.ROOT / "tests")]
    assert start.pytest_command([], in_ci=False)[3:] == everything
    assert start.pytest_command(["-k", "fuse"], in_ci=True)[3:] == ["-rsx", *everything, "-k", "fuse"]
    assert start.pytest_command(["tests::test_x"], in_ci=False)[3:] == ["tests::test_x"]


def test_what_quick_runs_is_there_and_opens_no_browser_and_asks_no_program() -> None:
    text = (ROOT / "start.py").read_text(encoding="utf-8")
    core = ast.literal_eval(re.findall(r"^CORE = (\[[^\]]*\])", text, flags=re.MULTILINE)[0])
    assert len(core) > 5
    for name in core:
        modules = sorted((ROOT / "tests" / name).rglob("*.py"))
        assert modules, name
        for module in modules:
            source = module.read_text(encoding="utf-8")
            found = re.search(r"playwright|spice import .*\bsolve\b|tests\.net\.hosts|importorskip|which\(", source)
            assert found is None, (module, found)


def test_a_quick_run_shows_all_checks_and_names_what_failed(
    start: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    made = {name: [sys.executable, "-c", f"print('said by {name}'); raise SystemExit({name == 'b'})"] for name in "ab"}
    monkeypatch.setattr(start, "checks_before_tests", lambda: made)
    monkeypatch.setattr(start, "quick_command", lambda _: [sys.executable, "-c", "print('tests')"])
    with pytest.raises(start.StartError, match=r"^Failed: b\.$"):
        start.run_quick_checks([])
    shown = capsys.readouterr().out
    assert all(words in shown for words in ("a:\nsaid by a", "b:\nsaid by b", "pytest:\ntests"))


def test_the_checks_of_pages_are_installed_once_and_again_when_their_lock_changes(
    start: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    (start.LOCK / "npm").mkdir()
    (start.VENV).mkdir()
    for name in ("package.json", "package-lock.json"):
        (start.LOCK / "npm" / name).write_text("{}", encoding="utf-8")
    called: list[list[str]] = []
    monkeypatch.setattr(start, "run_quietly", lambda command, _: called.append(command))
    monkeypatch.setattr(start.shutil, "which", lambda name: f"/bin/{name}")
    start.prepare_node()
    start.prepare_node()
    assert called == [["/bin/npm", "ci", "--prefix", str(start.NODE), "--ignore-scripts", "--no-audit", "--no-fund"]]
    assert (start.NODE / "package-lock.json").read_text(encoding="utf-8") == "{}"
    (start.LOCK / "npm" / "package-lock.json").write_text("[]", encoding="utf-8")
    start.prepare_node()
    assert len(called) == 2


def test_without_npm_what_cannot_be_checked_is_named(
    start: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (start.LOCK / "npm").mkdir()
    monkeypatch.setattr(start.shutil, "which", lambda _: None)
    start.prepare_node()
    assert "the tests that do so will fail" in capsys.readouterr().out
    assert not start.NODE.exists()


def test_the_lock_of_the_page_checks_pins_versions_and_hashes_and_names_no_place() -> None:
    asked = json.loads((ROOT / "lock" / "npm" / "package.json").read_text(encoding="utf-8"))["dependencies"]
    text = (ROOT / "lock" / "npm" / "package-lock.json").read_text(encoding="utf-8")
    locked = json.loads(text)["packages"]
    assert {name: locked[f"node_modules/{name}"]["version"] for name in asked} == asked
    assert all(entry["integrity"].startswith("sha512-") for place, entry in locked.items() if place)
    assert "resolved" not in text


def names(requirements: list[str]) -> set[str]:
    return {re.split(r"[<>=!~;\[ ]", text)[0].lower().replace(".", "-") for text in requirements}


def pinned(lock: str) -> dict[str, str]:
    text = (ROOT / "lock" / lock).read_text(encoding="utf-8")
    return dict(re.findall(r"^([a-z0-9-]+)==([^ ]+)", text, flags=re.MULTILINE))


@pytest.fixture(scope="module")
def project() -> dict[str, list[str]]:
    read = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    return {
        "run": read["project"]["dependencies"],
        "test": read["project"]["optional-dependencies"]["test"],
        "build": read["build-system"]["requires"],
    }


@pytest.mark.parametrize("part", ["run", "test", "build"])
def test_the_locks_pin_what_the_project_asks_for(project: dict[str, list[str]], part: str) -> None:
    assert names(project[part]) <= pinned(f"{part}.txt").keys()


def test_the_locks_pin_one_version_of_a_package_between_them() -> None:
    run, assembly, test = pinned("run.txt"), pinned("build.txt"), pinned("test.txt")
    assert run.items() <= test.items()
    assert all(test.get(name, version) == version for name, version in assembly.items())


def test_the_docs_give_the_reason_for_every_dependency(project: dict[str, list[str]]) -> None:
    text = (ROOT / "docs" / "dependencies.md").read_text(encoding="utf-8")
    tables = text.split("## The locks")[0]
    listed = re.findall(r"^\| ([a-z][a-z0-9.-]+) \|", tables, flags=re.MULTILINE)
    asked = {name for part in project.values() for name in names(part)}
    assert {name.replace(".", "-") for name in listed} - {"package"} == asked
