"""How long a frame takes on a chain, and what is said when that is too long."""

from __future__ import annotations

import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hollowglow.analysis.data import analyse, judge
from hollowglow.analysis.data.analyse import frame_time_s
from hollowglow.messages import Finding
from tests.analysis.data.test_addresses import RGBW
from tests.assembly.samples import CONSTANT_CURRENT, Stated, built, changed, stated


def chain(nodes: int, rate: str = "40 Hz", load: Stated = CONSTANT_CURRENT) -> Stated:
    display = stated(load, props=f"{nodes} * float")
    display["controllers"]["box"].update(rate=rate, nodes_per_output=5000)
    return display


def findings(display: Stated) -> list[Finding]:
    assembly = built(display)
    return list(judge(assembly, analyse(assembly)))


def frame_s(display: Stated) -> float:
    return float(analyse(built(display)).outputs.frame_time_s[0])


def test_a_node_takes_24_bits_of_one_and_a_quarter_microseconds() -> None:
    # Single-wire driver data sheets: 24 x 1.25 us = 30 us a node, 32 bits and 40 us with a fourth colour.
    assert frame_s(chain(2)) - frame_s(chain(1)) == pytest.approx(30e-6, rel=1e-9)
    assert frame_s(chain(2, load=RGBW)) - frame_s(chain(1, load=RGBW)) == pytest.approx(40e-6, rel=1e-9)


def test_a_frame_of_170_nodes_takes_5_4_milliseconds() -> None:
    # 170 x 30 us and a reset of 300 us; 680 nodes: 20.7 ms.
    assert frame_s(chain(170)) == pytest.approx(5.4e-3, rel=1e-9)
    assert frame_s(chain(680)) == pytest.approx(20.7e-3, rel=1e-9)
    assert analyse(built(chain(680))).outputs.max_rate_hz[0] == pytest.approx(48.31, abs=0.005)


@pytest.mark.parametrize(("rate", "most"), [(20, 1656), (30, 1101), (40, 823), (60, 545)])
def test_a_line_carries_as_many_nodes_as_fit_between_frames(rate: int, most: int) -> None:
    # (1/rate - 300 us)/30 us, rounded down.
    assert findings(chain(most, f"{rate} Hz")) == []
    assert [finding.code for finding in findings(chain(most + 1, f"{rate} Hz"))] == ["rate-not-reached"]


def test_every_node_of_a_gang_takes_its_time_on_the_line() -> None:
    ganged = stated(props="8 * float", fill={"count": 6, "gang": True})
    outputs = analyse(built(ganged)).outputs
    assert outputs.chain_nodes.tolist() == [48]
    assert outputs.cells.tolist() == [8]
    assert outputs.frame_time_s[0] == pytest.approx(48 * 30e-6 + 300e-6, rel=1e-9)


def test_a_slow_chip_is_timed_by_its_own_data_sheet() -> None:
    slow = changed(chain(100), "parts.light.light.data", {"bit_time": "2.5 us", "reset": "50 us", "bits": 36})
    assert frame_s(slow) == pytest.approx(100 * 36 * 2.5e-6 + 50e-6, rel=1e-9)


def test_a_mixed_chain_adds_its_nodes_and_waits_for_the_longest_reset() -> None:
    display = changed(chain(10), "parts.slow", {"light": {"emitters": 1, "load": RGBW, "data": {"reset": "300 us"}}})
    display["kinds"]["acorn"] = {"fill": {"light": "slow"}}
    display["strings"]["rail"]["props"] = ["10 * float", "5 * acorn"]
    assert frame_s(display) == pytest.approx(10 * 30e-6 + 5 * 40e-6 + 300e-6, rel=1e-9)


@given(bits=st.lists(st.sampled_from([24, 32, 48]), min_size=1, max_size=50), bit_us=st.floats(0.5, 3.0))
def test_frame_time_is_the_sum_of_its_bits_and_the_reset(bits: list[int], bit_us: float) -> None:
    time = frame_time_s(np.full(len(bits), bit_us * 1e-6), np.array(bits, dtype=np.float64), 300e-6)
    assert time == pytest.approx(sum(bits) * bit_us * 1e-6 + 300e-6, rel=1e-9)


def test_a_rate_that_no_chain_of_these_lights_reaches_is_told_without_a_chain_of_no_nodes() -> None:
    # A reset of 1 s alone allows less than one frame a second; two nodes of 64 x 1 ms more.
    slow = changed(chain(2), "parts.light.light.data", {"reset": "1 s", "bits": 64, "bit_time": "1 ms"})
    (found,) = findings(slow)
    assert found.mend == "Use lights with a shorter reset, or ask for 0.8 Hz."
    # 200 of them take 13.8 s, and no controller may be asked for less than 0.1 Hz.
    (found,) = findings(changed(slow, "strings.rail.props", "200 * float"))
    assert found.mend == "Use lights with a shorter reset, or spread them over several outputs."


def test_a_chain_longer_than_its_output_is_told_with_nodes_and_cells() -> None:
    display = stated(props="11 * float", fill={"count": 6, "gang": True})
    display["controllers"]["box"]["nodes_per_output"] = 60
    (found,) = findings(display)
    assert found.code == "chain-too-long"
    assert found.severity == "stop"
    assert found.where == ("box/1", "rail")
    assert found.message == "rail has 66 nodes (11 cells), box/1 drives 60."
    assert "at least 6 nodes" in found.mend
    assert findings(changed(display, "strings.rail.props", "10 * float")) == []


@pytest.mark.parametrize("gangs", [True, False])
def test_ganging_does_not_shorten_a_chain(gangs: bool) -> None:
    display = stated(props="11 * float", fill={"count": 6, "gang": True})
    display["controllers"]["box"].update(nodes_per_output=60, gangs=gangs)
    assert [finding.code for finding in findings(display)] == ["chain-too-long"]


def test_the_message_about_the_rate_has_frame_time_and_both_rates() -> None:
    (found,) = findings(chain(1000))
    # 1000 x 30 us + 300 us = 30.30 ms, 33.00 Hz.
    assert "One frame of 1,000 nodes takes 30.3 ms" in found.message
    assert "reaches 33.0 of the asked 40.0 frames a second" in found.message


@settings(max_examples=20)
@given(nodes=st.integers(900, 5000), rate=st.sampled_from([20, 30, 40, 60]))
def test_a_chain_as_short_as_the_mend_says_reaches_the_rate(nodes: int, rate: int) -> None:
    for found in findings(chain(nodes, f"{rate} Hz")):
        match = re.search(r"under about ([\d,]+) nodes", found.mend)
        assert match is not None
        most = int(match[1].replace(",", "")) - 1
        assert findings(chain(most, f"{rate} Hz")) == []
        # And not far too short: at most one in a hundred below what would do.
        assert most > 0.99 * int((1 / rate - 300e-6) / 30e-6) - 2


@settings(max_examples=20)
@given(nodes=st.integers(900, 5000))
def test_a_rate_as_low_as_the_mend_says_is_reached(nodes: int) -> None:
    for found in findings(chain(nodes)):
        match = re.search(r"ask for ([\d.]+) Hz", found.mend)
        assert match is not None
        assert findings(chain(nodes, f"{match[1]} Hz")) == []


def test_a_chain_that_takes_over_a_second_is_not_told_to_ask_for_no_frames() -> None:
    slow = changed(chain(100, "1 Hz"), "parts.light.light.data", {"bit_time": "500 us"})
    (found,) = findings(slow)
    assert "ask for 0 Hz" not in found.mend


def test_a_display_without_strings_has_no_outputs_in_use() -> None:
    outputs = analyse(built(changed(stated(), "strings", {}))).outputs
    assert len(outputs.string) == len(outputs.frame_time_s) == 0
