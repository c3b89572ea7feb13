"""A captured show: its power against ngspice, its sums against sums by hand, its command and files."""

import csv
import json
import re
from pathlib import Path

import numpy as np
import pytest
from scapy.layers.inet import IP, UDP
from scapy.layers.l2 import Ether
from scapy.packet import Raw
from scapy.utils import wrpcap

from hollowglow.jobs.shows.analyse import analyse, document, stretches, write_csv, write_svg
from hollowglow.messages.refusal import Refusal
from hollowglow.show.demand import Demand
from tests.cli.running import run_here
from tests.net.senders import data as packed
from tests.show.demand.captures import write_capture
from tests.show.demand.samples import built, sample
from tests.show.demand.test_network import spice_power


def write(folder: Path, data: dict) -> Path:
    path = folder / "show.yaml"
    path.write_text(json.dumps(data), encoding="utf-8")
    return path


def test_three_frames_draw_the_power_that_ngspice_gives(tmp_path: Path) -> None:
    data = sample()
    demand = Demand.of(built(data))
    rng = np.random.default_rng(8)
    shown = [rng.integers(1, top, (demand.addresses.cells, 3)).astype(np.uint8) for top in (40, 140, 256)]
    frames = [demand.addresses.frame(colours) for colours in shown]
    write_capture(tmp_path / "a.pcap", demand.addresses.universes, frames, [0.0, 0.5, 1.0])
    made = analyse(write(tmp_path, data), tmp_path / "a.pcap")
    power = made.drawn.supply_w.sum(axis=1)[made.show.which]
    assert len(power) == 3
    for found, colours in zip(power, shown, strict=True):
        # Required: 0.5 %. Both solve the same circuit, so they agree far better.
        assert found == pytest.approx(spice_power(data, colours, demand), rel=1e-5)


def simple(props: int = 180) -> dict:
    """Cells in two universes, each drawing 30 mA of saturated current at 12 V without any resistance to speak of."""
    data = sample(switching=False)
    data["supplies"]["shed"] = {"voltage": "12 V", "rating": "50 W"}
    data["parts"]["thin"]["cable"]["resistance"] = "0.000001 ohm/m"
    data["parts"]["constant-current"]["light"]["load"] = {
        "class": "constant-current", "current": ["10 mA"] * 3, "turn_on": ["1 V"] * 3, "saturation": "1 V"
    }  # fmt: skip
    data["kinds"]["float"]["fill"] = {"light": "constant-current"}
    data["strings"] = {
        "rail": {
            "output": "box/1", "supply": "shed", "props": f"{props} * float", "lead": {"cable": "thin", "length": "1 m"},
            "span": {"cable": "thin", "length": "10 mm"}, "fuse": "10 A",
        }
    }  # fmt: skip
    return data


def grey(demand: Demand, value: int) -> np.ndarray:
    return demand.addresses.frame(np.full((demand.addresses.cells, 3), value, dtype=np.uint8))


def test_sums_over_time_are_those_by_hand(tmp_path: Path) -> None:
    data = simple()
    demand = Demand.of(built(data))
    assert len(demand.addresses.universes) == 2
    # 180 x 30 mA x 12 V are 64.8 W at full, over the 40 W allowed (80 % of 50 W); 51/255 are a fifth, 12.96 W.
    values, times = [255, 51, 255, 0], [0.0, 1.0, 2.5, 3.0]
    write_capture(tmp_path / "a.pcap", demand.addresses.universes, [grey(demand, v) for v in values], times)
    made = analyse(write(tmp_path, data), tmp_path / "a.pcap").statistics
    lasted = np.array([1.0, 1.5, 0.5, 0.025])
    power = 64.8 * np.array(values) / 255
    assert made.frames == 4
    assert made.distinct == 3
    assert made.seconds == pytest.approx(3.025, abs=1e-5)
    assert made.peak_w == pytest.approx(64.8, rel=1e-5)
    assert made.mean_w == pytest.approx(power @ lasted / 3.025, rel=1e-5)
    assert made.energy_wh == pytest.approx(power @ lasted / 3600, rel=1e-5)
    assert made.over_share == pytest.approx(1.5 / 3.025, rel=1e-5)
    assert sum(made.time_share) == pytest.approx(1.0)
    assert made.time_share[-1] == pytest.approx(1.5 / 3.025, rel=1e-5)
    # 40 W / 64.8 W = 61.7 %.
    assert made.level == 61
    supply, fuse, string = made.things
    assert (supply.id, fuse.id, string.id) == ("shed", "rail/fuse", "rail")
    assert supply.level == 61
    assert supply.peak_a == pytest.approx(5.4, rel=1e-5)
    assert fuse.over_share == 0.0
    assert fuse.level == 100
    assert string.lowest_v == pytest.approx(12.0, abs=1e-3)
    assert string.light_lost == pytest.approx(0.0, abs=1e-9)
    assert [m.at_s for m in made.worst] == pytest.approx([0.0, 2.5, 1.0], abs=1e-5)
    assert made.worst[0].of_allowed == pytest.approx(64.8 / 40, rel=1e-5)


def test_a_show_that_stops_is_dark_after_the_loss_timeout(tmp_path: Path) -> None:
    data = simple()
    demand = Demand.of(built(data))
    write_capture(tmp_path / "a.pcap", demand.addresses.universes, [grey(demand, 255)] * 2, [0.0, 10.0])
    show = analyse(write(tmp_path, data), tmp_path / "a.pcap")
    # E1.31-2018, appendix A: 2.5 s without a packet.
    assert show.show.at_s.tolist() == pytest.approx([0.0, 2.5, 10.0], abs=1e-5)
    assert show.drawn.supply_w[show.show.which, 0] == pytest.approx([64.8, 0.0, 64.8], rel=1e-5, abs=1e-6)


def test_files_hold_every_moment_and_pictures_are_written(tmp_path: Path) -> None:
    data = simple()
    demand = Demand.of(built(data))
    frames = [grey(demand, v % 256) for v in range(0, 600, 7)]
    write_capture(tmp_path / "a.pcap", demand.addresses.universes, frames, [0.025 * k for k in range(len(frames))])
    made = analyse(write(tmp_path, data), tmp_path / "a.pcap")
    assert sorted(p.name for p in write_csv(made, tmp_path / "csv")) == [
        "histogram.csv", "moments.csv", "things.csv", "worst.csv"
    ]  # fmt: skip
    rows = list(csv.DictReader((tmp_path / "csv" / "moments.csv").read_text(encoding="utf-8").splitlines()))
    assert len(rows) == len(frames)
    assert float(rows[10]["shed A"]) == pytest.approx(5.4 * 70 / 255, rel=1e-4)
    assert sorted(p.name for p in write_svg(made, tmp_path / "svg")) == [
        "fuses.svg", "histogram.svg", "strings.svg", "supplies.svg"
    ]  # fmt: skip
    assert "Sample: what its supplies carried" in (tmp_path / "svg" / "supplies.svg").read_text(encoding="utf-8")
    supplies, strings = (
        (tmp_path / "svg" / f"{name}.svg").read_text(encoding="utf-8") for name in ("supplies", "strings")
    )
    # At 61 % of its level 64.8 W are within 40 W; the fullest white comes once.
    assert "(kept at 61 % of the level)" in supplies
    assert ">1</text>" in supplies
    assert "lowest 12.00 V" in strings
    json.dumps(document(made), allow_nan=False)


def test_stretches_of_time_hold_what_stood_in_them_and_no_more() -> None:
    # 8 A until 1 s, 2 A until 7 s, unknown until 10 s, in five stretches of 2 s.
    at, lasted, values = np.array([0.0, 1.0, 7.0]), np.array([1.0, 6.0, 3.0]), np.array([8.0, 2.0, np.nan])
    highest, mean = stretches(at, lasted, values, 5)
    assert highest.tolist() == pytest.approx([8.0, 2.0, 2.0, 2.0, np.nan], nan_ok=True)
    assert mean.tolist() == pytest.approx([5.0, 2.0, 2.0, 2.0, np.nan], nan_ok=True)


def test_the_command_tells_it_and_ends_with_one_where_a_limit_was_passed(tmp_path: Path) -> None:
    data = simple()
    demand = Demand.of(built(data))
    file = write(tmp_path, data)
    write_capture(tmp_path / "a.pcap", demand.addresses.universes, [grey(demand, 255)], [0.0])
    done = run_here("analyse", file, tmp_path / "a.pcap", "--json", tmp_path / "a.json")
    assert done.returncode == 1, done.stderr
    assert "levels at 61 % of today's would have kept all of them" in " ".join(done.stdout.split())
    # One frame at 64.8 W all of the time, in the last bin of the histogram.
    assert re.search(r"61.6 to 64.8 +100 % +█{40}", done.stdout)
    assert json.loads((tmp_path / "a.json").read_text(encoding="utf-8"))["level"] == 61
    write_capture(tmp_path / "b.pcap", demand.addresses.universes, [grey(demand, 51)], [0.0])
    assert run_here("analyse", file, tmp_path / "b.pcap").returncode == 0


def test_a_capture_of_something_else_is_said(tmp_path: Path) -> None:
    data = simple()
    demand = Demand.of(built(data))
    write_capture(tmp_path / "a.pcap", [77, 78], [grey(demand, 255)], [0.0])
    with pytest.raises(Refusal, match="holds no data for the universes of this display \\(1, 2\\)"):
        analyse(write(tmp_path, data), tmp_path / "a.pcap")


def test_data_of_other_universes_is_told_with_their_numbers_and_where_to_state_them(tmp_path: Path) -> None:
    data = simple()
    demand = Demand.of(built(data))
    file = write(tmp_path, data)
    write_capture(tmp_path / "a.pcap", [77, 78], [grey(demand, 255)], [0.0])
    with pytest.raises(Refusal, match=r"It holds data of universes 77 to 78, .* is its first_universe in the file"):
        analyse(file, tmp_path / "a.pcap")
    write_capture(tmp_path / "b.pcap", [1, 2, 77], [np.zeros((3, 512), np.uint8)] * 2, [0.0, 1.0])
    made = analyse(file, tmp_path / "b.pcap")
    assert made.elsewhere == 2
    assert [note for note in made.notes if "universe 77," in note]


def test_a_preview_alone_is_told_apart_from_nothing(tmp_path: Path) -> None:
    # ANSI E1.31-2018 clause 6.2.6: bit 7 of the options marks a preview, for visualizers and not for live output.
    packets = [Ether() / IP() / UDP(dport=5568) / Raw(packed(universe=1, preview=True)) for _ in range(3)]
    wrpcap(str(tmp_path / "a.pcap"), packets)
    with pytest.raises(Refusal, match=r"marked as a preview, which no controller shows: 3\."):
        analyse(write(tmp_path, simple()), tmp_path / "a.pcap")


def test_a_clock_set_back_within_a_capture_takes_no_time_from_the_show(tmp_path: Path) -> None:
    data = simple()
    demand = Demand.of(built(data))
    # Full from 0 to 1 s, then, the clock being set back by 100 s, a fifth for 2 s.
    times = [0.0, 0.5, 1.0, *(k / 2 - 99.0 for k in range(5))]
    values = [255, 255, 255, 51, 51, 51, 51, 51]
    write_capture(tmp_path / "a.pcap", demand.addresses.universes, [grey(demand, v) for v in values], times)
    made = analyse(write(tmp_path, data), tmp_path / "a.pcap")
    # 64.8 W for 1 s, a fifth of it for 2 s and one frame of 1/40 s.
    assert made.statistics.seconds == pytest.approx(3.025, abs=1e-4)
    assert made.statistics.energy_wh == pytest.approx((64.8 + 0.2 * 64.8 * 2.025) / 3600, rel=1e-4)
    assert made.notes == (
        "The clock of the capture goes back once, by up to 100 s: it was set, or captures were joined. Times go on from "
        "before.",
    )


@pytest.mark.parametrize("words", [["analyse", "a.pcap"], ["watch", "--seconds", "0.2"]])
def test_a_display_without_strings_is_told(tmp_path: Path, words: list[str]) -> None:
    write_capture(tmp_path / "a.pcap", [1], [np.zeros((1, 512), np.uint8)], [0.0])
    path = tmp_path / "empty.yaml"
    path.write_text("display: Empty\n", encoding="utf-8")
    more = [str(tmp_path / w) if w == "a.pcap" else w for w in words[1:]]
    done = run_here(words[0], path, *more)
    told = "This display has no strings yet, so no show lights anything of it. Give it a string with props.\n"
    assert (done.returncode, done.stdout, done.stderr) == (2, "", told)


def test_a_weak_cable_is_told_of_with_a_picture(tmp_path: Path) -> None:
    data = simple()
    data["supplies"]["shed"]["rating"] = "200 W"
    data["parts"]["thin"]["cable"]["ampacity"] = "4 A"
    demand = Demand.of(built(data))
    write_capture(tmp_path / "a.pcap", demand.addresses.universes, [grey(demand, v) for v in (51, 255)], [0.0, 0.5])
    made = analyse(write(tmp_path, data), tmp_path / "a.pcap")
    lead = next(t for t in made.statistics.things if t.sort == "cable")
    # 180 cells of 30 mA: 5.4 A at full white, 4/5.4 of which the cable bears.
    assert (lead.id, lead.allowed_a, lead.level) == ("rail/lead", 4.0, 74)
    assert lead.peak_a == pytest.approx(5.4, rel=1e-4)
    assert lead.peak_w == pytest.approx(5.4 * 12.0, rel=1e-4)
    assert lead.over_share == pytest.approx(0.025 / 0.525, rel=1e-6)
    written = [p.name for p in write_svg(made, tmp_path / "svg")]
    assert "cables.svg" in written
    write_csv(made, tmp_path / "csv")
    assert "rail/lead A" in (tmp_path / "csv" / "moments.csv").read_text(encoding="utf-8").splitlines()[0]
