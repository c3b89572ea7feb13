"""Each finding about making: the kind that has it, its whole text, and the twin that its mend makes."""

import re
from typing import Any

import pytest

from tests.analysis.prop.making.samples import (
    BALL,
    BOX,
    CONE,
    CRATE,
    DISC,
    DRUM,
    PARTS,
    PLATE,
    SOUND_KIND,
    TUBE,
    codes,
    found,
)


def kind(**changes: Any) -> dict[str, Any]:
    return {k: v for k, v in {**SOUND_KIND, **changes}.items() if v is not None}


def fill(count: int, **more: Any) -> dict[str, Any]:
    return {"light": "lamp", "count": count, **more}


def test_a_sound_kind_has_nothing_to_find() -> None:
    assert codes(SOUND_KIND) == []


def test_a_kind_that_states_hardly_anything_has_nothing_to_find() -> None:
    assert codes({}) == []
    assert codes({"shell": {"shape": "sphere", "diameter": "150 mm"}}) == []
    assert (
        codes({"shell": {"shape": "sphere", "diameter": "150 mm"}, "pigtail": {"cable": "wire", "length": "6 in"}})
        == []
    )


LOW = {"positions": [["0 mm", "0 mm", "100 mm"], ["0 mm", "0 mm", "20 mm"]], "axes": [[0, 0, 1], [0, 0, -1]]}

FOUND: list[tuple[str, dict[str, Any], dict[str, Any]]] = [
    (
        "light-does-not-fit",
        kind(carrier={**TUBE, "diameter": "80 mm", "above_base": "20 mm"}),
        kind(carrier={**TUBE, "diameter": "60 mm", "above_base": "20 mm"}),
    ),
    ("light-does-not-fit", kind(shell={**DRUM, "opening": "10 mm"}, carrier=None), kind(carrier=None)),
    (
        "light-does-not-fit",
        kind(carrier=None, fill=fill(2, positions=[["0 mm", "0 mm", "60 mm"], ["5 mm", "0 mm", "60 mm"]])),
        kind(
            carrier=None,
            fill=fill(
                2, positions=[["-7 mm", "0 mm", "60 mm"], ["7 mm", "0 mm", "60 mm"]], axes=[[0, 0, 1], [0, 0, 1]]
            ),
        ),
    ),
    (
        "light-does-not-fit",
        kind(carrier={**DISC, "diameter": "30 mm", "above_base": "40 mm"}, fill={"light": "coin"}),
        kind(carrier={**DISC, "diameter": "36 mm", "above_base": "40 mm"}, fill={"light": "coin"}),
    ),
    (
        "carrier-does-not-fit",
        kind(shell=DRUM, carrier={**DISC, "diameter": "98 mm"}),
        kind(carrier={**DISC, "above_base": "40 mm"}),
    ),
    (
        "carrier-does-not-fit",
        kind(shell={**DRUM, "opening": "60 mm"}),
        kind(shell={**DRUM, "opening": "60 mm"}, carrier={**DISC, "diameter": "60 mm", "above_base": "40 mm"}),
    ),
    ("web-too-thin", kind(fill=fill(16)), kind(fill=fill(7))),
    ("gland-clamp", kind(pigtail={"cable": "rope", "length": "1 m"}), kind()),
    ("gland-two-cables", kind(gland={"part": "nut"}), kind()),
    ("gland-room", kind(shell={**DRUM, "wall": "5 mm"}, carrier={**DISC, "above_base": "40 mm"}), kind()),
    ("gland-room", kind(shell=CONE, gland={"part": "nut", "at": "tip"}, hangs="tip down", carrier=None), kind()),
    ("hole-in-rain", kind(gland={"part": "nut", "count": 2, "at": "side"}), kind()),
    ("hole-in-rain", kind(gland=None, hangs="tip down"), kind(hangs="tip up", gland=None)),
    ("gland-on-top", kind(hangs="tip down"), kind()),
    ("drain-missing", kind(drain={"at": "none"}), kind(drain={"at": "base"})),
    ("drain-not-lowest", kind(drain={"at": "tip"}), kind(drain={"at": "lowest"})),
    ("drain-size", kind(drain={"diameter": "2 mm"}), kind(drain={"diameter": "4 mm"})),
    ("hook-weak", kind(hook="loop"), kind(hook="steel")),
]


@pytest.mark.parametrize(("code", "wrong", "mended"), FOUND, ids=[f"{c}-{i}" for i, (c, _, _) in enumerate(FOUND)])
def test_each_finding_and_its_mended_twin(code: str, wrong: dict[str, Any], mended: dict[str, Any]) -> None:
    told = [f for f in found(wrong) if f.code == code]
    assert told, codes(wrong)
    assert code not in codes(mended)
    for one in told:
        assert one.where == ("ball",)
        assert "ball" in one.message or "lamp" in one.message or "coin" in one.message
        assert one.mend.endswith(".")
        assert one.basis
        for length in re.findall(r"([\d.]+) mm \(([\d.]+) in\)", one.message + one.mend):
            assert float(length[0]) / 25.4 == pytest.approx(float(length[1]), abs=0.0075)


def text(code: str, wrong: dict[str, Any], **top: Any) -> tuple[str, str]:
    (one,) = (f for f in found(wrong, **top) if f.code == code)
    return one.message, one.mend


def test_the_text_of_two_cables_in_one_gland() -> None:
    assert text("gland-two-cables", kind(gland={"part": "nut"})) == (
        "2 cables go through 1 x nut of ball; side by side two of 5.0 mm (0.20 in) are 10.0 mm (0.39 in) wide, it clamps "
        "6.5 mm (0.26 in) at most and is too small for them.",
        "Use 2 glands (gland.count: 2), or a gland that takes at least 10.0 mm (0.39 in) with an insert of 2 holes of 5.0 mm "
        "(0.20 in).",
    )


def test_the_text_of_a_thick_cable() -> None:
    assert text("gland-clamp", kind(pigtail={"cable": "rope", "length": "1 m"})) == (
        "nut of ball clamps 3.0 mm (0.12 in) to 6.5 mm (0.26 in); rope is 8.0 mm (0.31 in), too thick for it.",
        "Use a gland whose range takes in 8.0 mm (0.31 in), or a cable of at most 6.5 mm (0.26 in).",
    )


def test_the_text_of_standing_water() -> None:
    assert text("drain-not-lowest", kind(drain={"at": "tip"})) == (
        "ball hangs tip up with its drain at the tip: water stands 116.0 mm (4.57 in) deep before it runs out.",
        "Drill the drain of 4.0 mm (0.16 in) (4 mm or 5/32 in) at the base (drain.at: lowest).",
    )


def test_the_text_of_an_overloaded_hook() -> None:
    # 100 g, a disc of 12 g, three lights of 4 g, 0.3 m of 50 g, two glands of 6 g: 151 g.
    message, mend = text("hook-weak", kind(hook="loop"))
    assert message == (
        "ball weighs 151 g (5.3 oz), 1.48 N; swinging in wind it may pull 3 times that, 4.4 N, and loop holds "
        "300 g (10.6 oz), 2.9 N."
    )
    assert mend == (
        "Hang it by a hook of metal that holds at least 453 g (16.0 oz), through a washer or round the neck, and by nothing "
        "moulded."
    )


@pytest.mark.parametrize(
    ("carrier", "count"), [(DISC, 12), (DISC, 20), ({**CRATE, "height": "40 mm"}, 9), (PLATE, 20), (PLATE, 13)]
)
def test_a_face_of_the_size_that_the_mend_names_has_webs_enough(carrier: dict[str, Any], count: int) -> None:
    room = {"shape": "sphere", "diameter": "900 mm"}
    wrong = {"shell": room, "carrier": carrier, "fill": fill(count)}
    for one in (f for f in found(wrong) if f.code == "web-too-thin"):
        sizes = re.search(r"a face of ([\d.]+) mm \([^)]*\)(?: across| by ([\d.]+) mm)", one.mend)
        assert sizes is not None
        # Sizes are shown to a tenth of a millimetre.
        across, high = (float(s) + 0.1 if s else 0.0 for s in sizes.groups())
        by_shape = {
            "disc": {"diameter": f"{across} mm"},
            "plate": {"width": f"{across} mm", "height": f"{high} mm"},
            "box": {"depth": f"{across} mm", "height": f"{high} mm"},
        }
        mended = {**wrong, "carrier": {**carrier, **by_shape[carrier["shape"]]}}
        assert "web-too-thin" not in codes(mended)


def test_a_drip_loop_answers_for_glands_on_top() -> None:
    assert codes(kind(hangs="tip down"), drip_loop="60 mm") == []


def test_a_hole_of_a_gland_that_is_too_tight_or_too_wide() -> None:
    parts = {"tight": ("12.5 mm", "0.0 mm (0.00 in)"), "wide": ("14 mm", "1.5 mm (0.06 in)")}
    for name, (hole, more) in parts.items():
        gland = {"gland": {"thread": "PG7", "clamp": ["3 mm", "6 mm"], "hole": hole, "thread_diameter": "12.5 mm"}}
        data = kind(gland={"part": name, "count": 2})
        message, mend = text("gland-clearance", data, parts={**PARTS, name: gland})
        assert more in message
        assert mend == "Drill from 12.6 mm (0.50 in) to 13.5 mm (0.53 in)."


def test_a_plate_in_a_flat_box_may_lie_the_other_way() -> None:
    flat = {"shape": "box", "width": "160 mm", "depth": "40 mm", "height": "160 mm", "wall": "2 mm"}
    _, mend = text("carrier-does-not-fit", {"shell": flat, "carrier": PLATE, "fill": fill(2)})
    assert "swap the shell's width and depth" in mend
    turned = {**flat, "width": "40 mm", "depth": "160 mm"}
    assert "carrier-does-not-fit" not in codes({"shell": turned, "carrier": PLATE, "fill": fill(2)})


def test_findings_come_kind_by_kind_and_in_one_order() -> None:
    first = codes(kind(gland={"part": "nut"}, drain={"at": "none"}, hook="loop"))
    assert first == ["gland-two-cables", "drain-missing", "hook-weak"]
    assert codes({"shell": BALL}) == codes({"shell": BOX}) == []
