"""Whatever is fed to the loader, a person gets a Display or a clean list of what is wrong; and a Display can be planned."""

from __future__ import annotations

import io
import unicodedata
from collections.abc import Callable
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, assume, example, given, settings
from hypothesis import strategies as st
from ruamel.yaml import YAML

from hollowglow.file import Display, load, load_text
from hollowglow.messages.errors import DisplayError
from hollowglow.plan import make_plan
from tests.file.jetty import FILE, JETTY
from tests.work import calls_at_most

MOST_CALLS = 10_000_000
MOST_NODES_TO_PLAN = 3000
LEAKS = ("Input should", "input should", "should have", "Traceback", "pydantic", "validation error", "0x7f", "None")


def read(text: str) -> Display | None:
    """The display, or None after holding the error against what an error must be."""
    try:
        with calls_at_most(MOST_CALLS):
            return load_text(text, FILE)
    except DisplayError as error:
        check(error, FILE)
        return None


def check(error: DisplayError, file: str) -> None:
    assert error.problems
    for problem in error.problems:
        said = problem.text(file)
        assert said.startswith(file)
        assert len(said.splitlines()) == 1, said
        assert not any(unicodedata.category(c) in ("Cc", "Cf", "Cs") for c in said), said
        assert not any(leak in said for leak in LEAKS if leak not in problem.where and leak not in problem.found), said
        assert "something else" not in said, said
    assert len(set(error.problems)) == len(error.problems)


def plan(display: Display) -> None:
    nodes = sum(
        run.count * display.kinds[run.kind].fill.count for string in display.strings.values() for run in string.props
    )
    assume(nodes <= MOST_NODES_TO_PLAN)
    made = make_plan(display)
    for finding in made.findings:
        assert finding.message


ODD = st.sampled_from(
    [
        "", "~", "null", ".nan", "-.inf", "nan", "1e999", "-1e999", "1e-999 V", "0", "-1", "1" * 5000, "0x" + "f" * 5000,
        "1" * 5000 + " m", "9" * 30, "1e308 m", "1e-308 ohm", "0 m", "0 V", "0 ohm", "0 %", "100 %", "-5 %", "1e-5 %",
        "true", "no", "yes", "on", "2024-12-01", "12:30:45", "1_0", '"\\udfff"', "0o7", "[]", "{}", "[[]]", "[1, [2, [3]]]",
        "[" * 30 + "]" * 30, "[" * 500 + "]" * 500, "{a: " * 30 + "1" + "}" * 30, "{a: " * 500 + "1" + "}" * 500,
        "!!int 5", "!!binary aGk=", "!!python/object:os.system x", "!!set {a}", "! x", "!<tag:x> 5", "&a 5", "*a",
        "&x [*x]", "&x {a: *x}", "{<<: 5}", "{<<: {a: 1}}", "{extends: rail}", "float", "rail", "shed", "box/1", "box/0",
        "test-constant-current", "test-cable", "test-splice", "blade-5a", "supply-12v-100w", "extension-18awg-1m", "12 * float",
        "0 * float", "1000000000000 * float", "[float, 2 * float]", "12 V", "4 V", "5 A", "18.5 mA", "6 ft", "5 ft 6 in",
        "3/8 in", "1,8 m", "12 m**1000000", "1 V*9**9**9**9", "12 ((((", "1 m/0", "5 degC", "-273.15 degC", "1 ohm/m",
        "20 AWG", "0.75 mm2", "40 Hz", "1e-3 s", "|", ">", "|+2", "'", '"', '"\\x00"', '"\\u202e5 V"', '"\\ud800"',
        "\u202e5 V", "5\u200b V", "５ V", "5\xa0V", "\u2028", "\x85", "\x07", "\x00", "\ud800", "%", "@", "`", "- a", "a: b",
        "? a", "# c", "---", "...", "\t5 V", "${HOME}", "{{ x }}", "é" * 200, "x" * 70,
    ]
)  # fmt: skip


@st.composite
def changed(draw: st.DrawFn) -> str:
    lines = JETTY.splitlines()
    for _ in range(draw(st.integers(1, 4))):
        i = draw(st.integers(0, len(lines) - 1))
        match draw(st.sampled_from(["value", "value", "value", "drop", "twice", "swap", "indent", "cut", "key"])):
            case "value":
                lines[i] = with_odd_value(draw, lines[i])
            case "drop" if len(lines) > 1:
                del lines[i]
            case "twice":
                lines.insert(i, lines[i])
            case "swap":
                j = draw(st.integers(0, len(lines) - 1))
                lines[i], lines[j] = lines[j], lines[i]
            case "indent":
                lines[i] = " " * draw(st.integers(0, 5)) + lines[i].lstrip()
            case "cut":
                lines[i] = lines[i][: draw(st.integers(0, len(lines[i])))]
            case _:
                at = draw(st.integers(0, len(lines[i])))
                lines[i] = lines[i][:at] + draw(st.text(max_size=3)) + lines[i][at:]
    return "\n".join(lines) + "\n"


def with_odd_value(draw: Callable[[st.SearchStrategy[Any]], Any], line: str) -> str:
    places = [i for i in range(len(line) - 1) if line[i : i + 2] == ": "]
    if not places:
        return f"{line}{draw(ODD)}"
    start: int = draw(st.sampled_from(places)) + 2
    ends = [e for e in (line.find(c, start) for c in ",}]#") if e >= 0] or [len(line)]
    return f"{line[:start]}{draw(ODD)}{line[min(ends) :]}"


WORDS = sorted(
    {w.strip("{}[],:#*") for w in JETTY.split()}
    | {"extends", "part", "labour", "limits", "extension", "wiring", "plug"}
)
SCALARS = (
    st.sampled_from(WORDS)
    | ODD
    | st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=8)
    | st.builds(
        "{} {}".format, st.floats(allow_nan=False), st.sampled_from(["m", "V", "A", "ohm", "W", "%", "ft", "s"])
    )
)
TREES = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.sampled_from(WORDS), inner, max_size=5),
    max_leaves=25,
)
SECTION = st.dictionaries(
    st.sampled_from(["shed", "box", "float", "rail", "test-constant-current", "test-cable", "cable-3x18awg", "a"]),
    TREES,
    max_size=3,
)
SECTIONS = ("supplies", "controllers", "parts", "kinds", "strings", "levels", "limits", "labour", "ambient")
FILES = st.fixed_dictionaries({"display": SCALARS}, optional=dict.fromkeys(SECTIONS, SECTION))


def dumped(data: Any) -> str:
    stream = io.StringIO()
    yaml = YAML(typ="safe", pure=True)
    yaml.dump(data, stream)
    return stream.getvalue()


@given(st.binary(max_size=300))
@example(b"\xff\xfed\x00")
@example(b"display: \xe9t\xe9\n")
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
def test_arbitrary_bytes_end_in_a_clean_error(tmp_path: Path, raw: bytes) -> None:
    path = tmp_path / "any.yaml"
    path.write_bytes(raw)
    try:
        load(path)
    except DisplayError as error:
        check(error, str(path))


@given(st.text(max_size=200) | st.text(alphabet="{}[]:,&*!|>'\"%@`#-? \n\tab01", max_size=120))
@example("[" * 100_000)
@example("{a: " * 20_000)
@example("- " * 5000)
@example("? " * 5000)
@example("a: &a [*a, *a]")
@example("'")
@example("\ufeff")
@example("&a " * 100)
def test_arbitrary_text_ends_in_a_clean_error(text: str) -> None:
    read(text)
    read("display: x\n" + text)


@given(changed())
def test_a_changed_file_loads_cleanly_or_fails_cleanly_and_what_loads_can_be_planned(text: str) -> None:
    display = read(text)
    if display is not None:
        plan(display)


@given(st.data())
def test_a_file_with_one_odd_value_loads_or_fails_cleanly_and_what_loads_can_be_planned(data: st.DataObject) -> None:
    lines = JETTY.splitlines()
    i = data.draw(st.integers(0, len(lines) - 1))
    lines[i] = with_odd_value(data.draw, lines[i])
    display = read("\n".join(lines) + "\n")
    if display is not None:
        plan(display)


@given(FILES)
def test_structured_nonsense_ends_in_a_clean_error(data: dict[str, Any]) -> None:
    try:
        text = dumped(data)
    except (UnicodeError, ValueError):
        assume(False)
    display = read(text)
    if display is not None:
        plan(display)


# Values at the ends of what is allowed, by the text that they replace in the example.
COLOURS = ["0 lm", "1e-9 lm", "4 lm", "100000 lm"]
CHARACTERISTICS = [
    "{class: constant-current, current: [20 A, 1 uA, 1 A], turn_on: [0 V, 60 V, 1e-300 V], saturation: 1 mV}",
    "{class: resistor, series: 100, parallel: 100, forward: [1 mV, 60 V, 2 V], resistor: [1 mohm, 1 Mohm, 1 ohm]}",
    "{class: constant-power, power: [0 W, 1e-300 W, 50 W], efficiency: 0.1, cutoff: 0.1 V, idle: 1 A}",
    "{class: constant-power, power: [0 W, 0 W, 0 W], efficiency: 1, cutoff: 60 V}",
]
ENDS = {
    "ambient: 5 degC": [f"ambient: {t}" for t in ("-60 degC", "120 degC")],
    "voltage: 12 V": [f"voltage: {v}" for v in ("1 V", "2 V", "5 V", "24 V", "60 V")],
    "rating: 100 W": ["rating: 1 mW", "rating: 5000 W"],
    "resistance: 20 mohm": [f"resistance: {r}" for r in ("0 ohm", "1e-12 ohm", "1e-300 ohm", "100 ohm")],
    "outputs: 4": ["outputs: 1", "outputs: 100000"],
    "nodes_per_output: 600": ["nodes_per_output: 1", "nodes_per_output: 1000000"],
    "rate: 40 Hz": ["rate: 0.1 Hz", "rate: 1000 Hz"],
    "first_universe: 1": ["first_universe: 63999", "universes: 1"],
    "gangs: true": ["gangs: false", "each_output: new universe"],
    "{class: constant-current, current: [18.5 mA, 18.5 mA, 18.5 mA], turn_on: [2.0 V, 3.0 V, 3.1 V], "
    "saturation: 0.6 V, idle: 1 mA}": CHARACTERISTICS,
    "size: 20 AWG": ["resistance: 0.000001 ohm/m", "resistance: 10 ohm/m", "size: 10 mm2"],
    "resistance: 5 mohm, rating: 5 A": ["resistance: 0 ohm", "resistance: 100 ohm, rating: 1 uA"],
    "count: 5": ["count: 1", "count: 30", "count: 5, wiring: {length: 0.01 mm}", "count: 5, wiring: {length: 50 m}"],
    "length: 150 mm": ["length: 0.01 mm", "length: 50 m"],
    "supply: shed\n": ["fuse: 200 A\n"],
    "12 * float": ["7 * float", "15 * float"],
    "length: 4 m": ["length: 0.01 mm", "length: 2000 m"],
    "length: 1.8 m": ["length: 0.01 mm", "length: 2000 m"],
    "fuse: 5 A, cut: false": ["cut: true", "fuse: 1 uA, cut: true"],
    "before: 7": ["before: 1"],
    "{float: 100 %}": [f"{{float: {p}}}" for p in ("0 %", "1e-300 %", "1 %")],
    "display: ": [
        "limits: {light_loss: 0 %, chromaticity_shift: 0.0001, supply_load: 1 %, fuse_load: 1 %, "
        "lowest_voltage: 60 V}\ndisplay: ",
        "drip_loop: 2000 m\nlabour: {splice: 0 s, hour: 1000000}\ndisplay: ",
    ],
    "emitters: 1,": [
        f"emitters: 1000, colour: {{flux: [{a}, {b}, 4 lm], xy: [[0, 1], [0.99, 0.001], [0, 0.001]]}},"
        for a in COLOURS
        for b in COLOURS
    ],
}
CHANGES = st.fixed_dictionaries({}, optional={old: st.sampled_from(new) for old, new in ENDS.items()})


@given(CHANGES)
def test_a_display_at_the_ends_of_what_is_allowed_can_be_planned(changes: dict[str, str]) -> None:
    text = JETTY
    for old, new in changes.items():
        assert old in JETTY
        text = text.replace(old, new, 1)
    display = read(text)
    if display is not None:
        plan(display)
