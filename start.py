"""Sets Hollowglow up beside this file and plans the demo; with --test or --quick, runs checks instead.

    python3 start.py
    python3 start.py --test [arguments for pytest]
    python3 start.py --quick [arguments for pytest]

--test runs every check, against a wheel that it builds. --quick is for while you work: it runs what needs neither a
browser nor another program, against the source as it stands.

Only the standard library is used, and the file must parse on Python 3.6, so that an older Python can be told
kindly that it is too old.
"""

import hashlib
import importlib.util
import json
import os
import shutil
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor, as_completed
from pathlib import Path

ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
STAMP = VENV / "made-by-start.json"
LOCK = ROOT / "lock"
NODE = VENV / "node"
DEMO = ROOT / "demo"
OLDEST = (3, 11)
NEWEST_LOCKED = (3, 14)
TAIL_LINES = 25
# What changes most while one works, without what opens a browser or asks another program.
CORE = ["rules", "physics", "file", "assembly", "analysis/data", "analysis/money"]


class StartError(Exception):
    """Something that a person has to mend; the text says what and how."""


def too_old(major: int, minor: int) -> str:
    """The message for a Python older than the oldest supported one, otherwise an empty string."""
    if (major, minor) >= OLDEST:
        return ""
    return (
        f"Hollowglow needs Python {OLDEST[0]}.{OLDEST[1]} or newer, and this is Python {major}.{minor}.\n"
        "Install a newer Python and start again with it, for example: python3.12 start.py"
    )


# Before the definitions below: an older Python can parse their annotations, but not evaluate them.
if too_old(*sys.version_info[:2]):
    sys.stderr.write(too_old(*sys.version_info[:2]) + "\n")
    sys.exit(2)


def say(text: str) -> None:
    # Flushed, so that these lines and those of the programs it runs stay in order in a log.
    print(text, flush=True)


def fingerprint(*paths: Path) -> str:
    """SHA-256 over the names and contents of the files, and of all files below the folders."""
    digest = hashlib.sha256()
    for path in paths:
        for file in sorted(path.rglob("*")) if path.is_dir() else [path]:
            if file.is_file() and "__pycache__" not in file.parts:
                digest.update(file.relative_to(ROOT).as_posix().encode() + b"\0")
                digest.update(hashlib.sha256(file.read_bytes()).digest())
    return digest.hexdigest()


def wanted_stamp() -> dict[str, str]:
    """What an up-to-date environment is made from; the place counts, as an environment cannot be moved."""
    return {
        "place": str(VENV),
        "python": "{}.{}".format(*sys.version_info[:2]),
        "run": fingerprint(LOCK / "run.txt", LOCK / "build.txt"),
        "test": fingerprint(LOCK / "test.txt"),
        "project": fingerprint(ROOT / "pyproject.toml", ROOT / "README.md", ROOT / "LICENSE", ROOT / "src"),
        "editable": fingerprint(ROOT / "pyproject.toml"),
    }


def read_stamp() -> dict[str, str]:
    try:
        stamp = json.loads(STAMP.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return stamp if isinstance(stamp, dict) else {}


def write_stamp(stamp: dict[str, str]) -> None:
    STAMP.write_text(json.dumps(stamp, indent=1) + "\n", encoding="utf-8")


def steps_due(found: dict[str, str], wanted: dict[str, str], purpose: str) -> list[str]:
    """The steps that bring the environment from `found` to `wanted`, in order: venv, run, test, then the project.

    The project is there as a wheel ("wheel") or as the source itself ("editable"). The demo is content with either,
    --test always builds its wheel anew.
    """
    testing = purpose != "demo"
    project = {"demo": "wheel", "test": "wheel", "quick": "editable"}[purpose]
    same_base = all(found.get(key) == wanted[key] for key in ("place", "python", "run"))
    same_test = found.get("test") == wanted["test"]
    # A lock that changed starts from nothing: packages that left it must not stay behind.
    if not same_base or (testing and not same_test and "test" in found):
        return ["venv", "run", *(["test"] if testing else []), project]
    due = ["test"] if testing and not same_test else []
    editable, wheel = (found.get(key) == wanted[key] for key in ("editable", "project"))
    there = {"demo": editable or wheel, "test": False, "quick": editable}[purpose]
    return due + ([] if there else [project])


def program(name: str) -> Path:
    """The path of a program inside the environment."""
    if sys.platform == "win32":
        return VENV / "Scripts" / f"{name}.exe"
    return VENV / "bin" / name


def venv_package_missing() -> str:
    """What to do where Python came without `ensurepip`, as Debian packs it, otherwise an empty string."""
    if importlib.util.find_spec("venv") and importlib.util.find_spec("ensurepip"):
        return ""
    package = "python{}.{}-venv".format(*sys.version_info[:2])
    return (
        "This Python cannot make environments: a part that Debian and Ubuntu pack separately is missing.\n"
        f"Install it, then start again: sudo apt-get install {package}"
    )


def run_quietly(command: list[str], trouble: str) -> None:
    """Runs a command without showing its output; if it fails, raises with the last lines of it."""
    done = subprocess.run(
        command,
        cwd=ROOT,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
        errors="replace",
        check=False,
    )
    if done.returncode != 0:
        tail = "\n".join("    " + line for line in done.stdout.splitlines()[-TAIL_LINES:])
        raise StartError(f"{trouble}\n{tail}")


def succeeds(command: list[str]) -> bool:
    try:
        done = subprocess.run(command, stdin=subprocess.DEVNULL, capture_output=True, check=False)
    except OSError:
        return False
    return done.returncode == 0


def make_venv() -> None:
    missing = venv_package_missing()
    if missing:
        raise StartError(missing)
    if VENV.exists() and not STAMP.exists():
        raise StartError(
            f"{VENV} is there already, and start.py did not make it.\nMove it away or delete it, then start again."
        )
    if VENV.exists():
        shutil.rmtree(VENV)
    VENV.mkdir()
    # Stamped before it is filled, so that an interrupted start is known as its own next time.
    write_stamp({})
    run_quietly([sys.executable, "-m", "venv", str(VENV)], "The environment could not be made:")


def pip() -> list[str]:
    return [str(program("python")), "-m", "pip", "--disable-pip-version-check", "--no-input"]


def pip_install(*arguments: str) -> None:
    trouble = "pip could not install that. The last lines of what it said:"
    major, minor = sys.version_info[:2]
    if (major, minor) > NEWEST_LOCKED:
        newest = "{}.{}".format(*NEWEST_LOCKED)
        trouble = f"The locked packages go up to Python {newest}; this is {major}.{minor}.\n{trouble}"
    run_quietly([*pip(), "install", "--quiet", *arguments], trouble)


def install_lock(name: str) -> None:
    # Ready-made packages only: where there is none, a build from source fails late and obscurely.
    pip_install("--only-binary=:all:", "--require-hashes", "-r", str(LOCK / f"{name}.txt"))


def environment_works() -> bool:
    return succeeds([str(program("python")), "-c", "import pip"])


def install_wheel() -> None:
    """Builds the project's wheel and installs that, so that what runs is what a person would be given."""
    made = VENV / "wheel"
    if made.exists():
        shutil.rmtree(made)
    options = ["--quiet", "--no-deps", "--no-build-isolation", "--wheel-dir", str(made)]
    run_quietly(
        [*pip(), "wheel", *options, str(ROOT)], "The wheel could not be built. The last lines of what pip said:"
    )
    pip_install("--no-deps", "--no-index", "--force-reinstall", *map(str, made.glob("*.whl")))


def prepare(purpose: str) -> None:
    """Makes or refreshes the environment, and names each step as it begins."""
    wanted = wanted_stamp()
    found = read_stamp()
    if found and not environment_works():
        found = {}
    due = steps_due(found, wanted, purpose)
    if not due:
        say(f"The environment in {VENV} is up to date.")
    if "venv" in due:
        say(f"Making the environment in {VENV} ...")
        make_venv()
        found = {"place": wanted["place"], "python": wanted["python"]}
    if "run" in due:
        say("Installing the packages Hollowglow runs on (a minute or two the first time) ...")
        install_lock("build")
        install_lock("run")
        found["run"] = wanted["run"]
        write_stamp(found)
    if "test" in due:
        say("Installing the packages the tests need ...")
        install_lock("test")
        found["test"] = wanted["test"]
        write_stamp(found)
    if "wheel" in due or "editable" in due:
        say("Installing Hollowglow itself ...")
        for key in ("project", "editable"):
            found.pop(key, None)
        write_stamp(found)
    if "wheel" in due:
        install_wheel()
        found["project"] = wanted["project"]
        write_stamp(found)
    if "editable" in due:
        pip_install("--no-deps", "--no-build-isolation", "--force-reinstall", "--editable", str(ROOT))
        found["editable"] = wanted["editable"]
        write_stamp(found)


def show_demo() -> int:
    """Writes the demo display if it is not there, plans it, and says how to go on."""
    command = str(program("hollowglow"))
    display = DEMO / "landing.yaml"
    if not display.exists():
        say(f"Writing the demo display into {DEMO} ...")
        run_quietly([command, "demo", str(DEMO)], "The demo could not be written:")
    say(f"Planning {display} ...\n")
    status = subprocess.run([command, "plan", str(display)], cwd=ROOT, check=False).returncode
    if status not in (0, 1):
        raise StartError(f"Planning the demo ended with status {status}; the lines above say why.")
    if status == 1:
        say(
            "\nThe plan found reasons to stop (exit status 1). That is right here:\n"
            "the demo has honest mistakes in it, for the plan to find."
        )
    shown = f'"{command}"' if " " in command else command
    say("\nHollowglow is ready. How to go on:")
    say(f"  the command:  {shown}")
    say(f"  in a browser: {shown} open {display}")
    say(f"  next:         {shown} --help")
    say(f"  your own:     copy {display}, change the copy, then: {shown} plan COPY")
    return 0


def apt_packages() -> dict[str, str]:
    """The Debian packages the tests need, each with the program it brings."""
    lines = (LOCK / "apt.txt").read_text(encoding="utf-8").splitlines()
    words = [line.split() for line in lines if line.strip() and not line.startswith("#")]
    return {found[0]: found[-1] for found in words}


def apt_command() -> list[str]:
    """The start of an apt-get call that may install packages, or an empty list where none may."""
    apt = ["env", "DEBIAN_FRONTEND=noninteractive", "apt-get", "-q"]
    if sys.platform == "win32" or not shutil.which("apt-get"):
        return []
    if os.geteuid() == 0:
        return apt
    return ["sudo", "-n", *apt] if succeeds(["sudo", "-n", "true"]) else []


def prepare_programs() -> None:
    """Installs the programs the tests need where apt-get can do it, and names them elsewhere."""
    missing = [name for name, brings in apt_packages().items() if not shutil.which(brings)]
    if not missing:
        return
    apt = apt_command()
    if not apt:
        say(f"The tests also need these programs, which are not here: {', '.join(missing)}.")
        say("Tests that need one of them are skipped until you install it.")
        return
    say(f"Installing the programs the tests need: {', '.join(missing)} ...")
    trouble = "apt-get could not install that. The last lines of what it said:"
    run_quietly([*apt, "update"], trouble)
    run_quietly([*apt, "install", "-y", "--no-install-recommends", *missing], trouble)


def prepare_node() -> None:
    """Installs what checks the workbench's pages and scripts; nothing of it is needed to run the workbench."""
    lock, stamp = LOCK / "npm", NODE / "made-from.txt"
    wanted = fingerprint(lock)
    if stamp.is_file() and stamp.read_text(encoding="utf-8") == wanted:
        return
    npm = shutil.which("npm")
    if npm is None:
        say("Without npm the workbench's pages and scripts cannot be checked, and the tests that do so will fail.")
        return
    say("Installing what checks the workbench's pages and scripts ...")
    if NODE.exists():
        shutil.rmtree(NODE)
    NODE.mkdir()
    for name in ("package.json", "package-lock.json"):
        shutil.copy(lock / name, NODE / name)
    trouble = "npm could not install that. The last lines of what it said:"
    run_quietly([npm, "ci", "--prefix", str(NODE), "--ignore-scripts", "--no-audit", "--no-fund"], trouble)
    stamp.write_text(wanted, encoding="utf-8")


def workers() -> list[str]:
    """How pytest shares the tests out: to as many processes as there are cores, the tests of a file in one."""
    return ["-n", str(max(2, min(os.cpu_count() or 2, 8)))]


def pytest_command(arguments: list[str], in_ci: bool) -> list[str]:
    """The pytest call: all tests and the package's doctests, unless the arguments name what to run."""
    named = [a for a in arguments if not a.startswith("-") and (ROOT / a.split("::")[0]).exists()]
    return [
        str(program("python")),
        "-m",
        "pytest",
        *(["-rsx"] if in_ci else []),
        *([] if named else [*workers(), "--pyargs", "hollowglow", str(ROOT / "tests")]),
        *arguments,
    ]


def quick_command(arguments: list[str]) -> list[str]:
    """The pytest call for the core packages alone."""
    core = [str(ROOT / "tests" / name) for name in CORE if (ROOT / "tests" / name).is_dir()]
    return [str(program("python")), "-m", "pytest", "-q", *workers(), *core, *arguments]


def checks_before_tests() -> dict[str, list[str]]:
    return {
        "ruff check": [str(program("ruff")), "check", "."],
        "ruff format": [str(program("ruff")), "format", "--check", "."],
        "mypy": [str(program("mypy"))],
        "lint-imports": [str(program("lint-imports")), "--no-cache", "--no-logo"],
    }


def run_checks(arguments: list[str]) -> int:
    """Runs all checks, pytest last so that its summary closes the output; 0 only if every one passed."""
    in_ci = os.environ.get("CI") == "true"
    environment = {**os.environ, "HOLLOWGLOW_NO_SKIPS": "1"} if in_ci else dict(os.environ)
    checks = {**checks_before_tests(), "pytest": pytest_command(arguments, in_ci)}
    failed: list[str] = []
    for name, command in checks.items():
        if name == "pytest" and failed:
            say(f"\nFailed so far: {', '.join(failed)}. pytest runs all the same.")
        say(f"\n{name}:")
        if subprocess.run(command, cwd=ROOT, env=environment, check=False).returncode != 0:
            failed.append(name)
    if failed:
        raise StartError(f"Failed: {', '.join(failed)}.")
    return 0


def run_quick_checks(arguments: list[str]) -> int:
    """Runs the checks for while one works, side by side, and shows each when it is done."""

    def run(command: list[str]) -> "subprocess.CompletedProcess[str]":
        return subprocess.run(
            command,
            cwd=ROOT,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            encoding="utf-8",
            errors="replace",
            check=False,
        )

    begun = time.monotonic()
    checks = {**checks_before_tests(), "pytest": quick_command(arguments)}
    failed: list[str] = []
    with ThreadPoolExecutor(len(checks)) as pool:
        running = {pool.submit(run, command): name for name, command in checks.items()}
        for done in as_completed(running):
            say(f"\n{running[done]}:\n{done.result().stdout.rstrip()}")
            if done.result().returncode != 0:
                failed.append(running[done])
    say(f"\n{time.monotonic() - begun:.0f} s. The whole is: python3 start.py --test")
    if failed:
        raise StartError(f"Failed: {', '.join(failed)}.")
    return 0


def main(arguments: list[str]) -> int:
    purpose = {"--test": "test", "--quick": "quick"}.get(arguments[0] if arguments else "", "demo")
    if arguments and purpose == "demo":
        say(str(__doc__).strip())
        return 0 if arguments[0] in ("-h", "--help") else 2
    try:
        prepare(purpose)
        if purpose == "demo":
            return show_demo()
        if purpose == "quick":
            return run_quick_checks(arguments[1:])
        prepare_programs()
        prepare_node()
        return run_checks(arguments[1:])
    except (StartError, OSError) as error:
        print(error, file=sys.stderr, flush=True)
        return 1
    except KeyboardInterrupt:
        print("Stopped.", file=sys.stderr, flush=True)
        return 130


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
