"""What is read on the ladder and at the box: the order of hanging and of packing."""

from __future__ import annotations

from itertools import pairwise

from hollowglow.analysis.site import packing
from hollowglow.assembly.ids import prop_ids
from hollowglow.book.page_data import BookSource, Row, assumed_of
from hollowglow.plan import Plan
from hollowglow.quantity.words import several
from hollowglow.view.pictures.yard import yard_drawing


def packed_of(plan: Plan) -> packing.Packed:
    """Return the boxes of a display."""
    mass = {one.name: one.weight.after_kg for one in plan.making.kinds}
    return packing.analyse(plan.assembly.display.packing, packing.things(plan.assembly, mass))


def hanging(source: BookSource) -> Row:
    """Return the order of hanging, and what goes into each box: the first to hang goes in last."""
    plan = source.plan
    display = plan.assembly.display
    say = source.measures
    packed = packed_of(plan)
    box = display.packing
    kinds = _kinds_by_prop(source)
    abouts = {name: stated.about for name, stated in display.strings.items()}
    joined = {one.thing.id for pair in pairwise(packed.things) if pair[0].thing.joined for one in pair}
    strings: dict[str, list[packing.PackedThing]] = {}
    for one in packed.things:
        strings.setdefault(one.thing.string, []).append(one)
    drawn = yard_drawing(plan, night=False, behind=source.behind, units=say.units) if plan.placed.any else None
    return {
        "map": source.picture(drawn),
        "behind": source.behind_words,
        "strings": [
            {
                "name": name,
                "about": abouts[name],
                "rows": [_hung(run, packed, kinds, joined) for run in _runs(ones, kinds)],
                "marks": source.marks(name),
            }
            for name, ones in strings.items()
        ],
        "boxes": [
            {
                "name": packed.box_id(number),
                "mass": say.mass(kg),
                "tied": _tied(packed, number),
                "rows": [_hung(run, packed, kinds, joined) for run in _runs(list(packed.packing_order(number)), kinds)],
            }
            for number, kg in enumerate(packed.box_kg, 1)
        ],
        "assumptions": assumed_of(source, "packing"),
        "box": " × ".join(say.run(v) for v in (box.width, box.depth, box.height)) + f", at most {say.mass(box.mass)}",
    }


def _tied(packed: packing.Packed, number: int) -> str:
    """Return which boxes hold the other ends of pieces that run on out of a box, in words, empty for none."""
    found = [
        a.box if b.box == number else b.box
        for a, b in pairwise(packed.things)
        if a.thing.joined and a.box != b.box and number in (a.box, b.box)
    ]
    return several([packed.box_id(one) for one in dict.fromkeys(found)], 5) if found else ""


def _kinds_by_prop(source: BookSource) -> dict[str, str]:
    assembly = source.plan.assembly
    names = (assembly.kinds.names[k] for k in assembly.props.kind.tolist())
    return dict(zip(prop_ids(assembly), names, strict=True))


def _runs(ones: list[packing.PackedThing], kinds: dict[str, str]) -> list[list[packing.PackedThing]]:
    """Return neighbours that are alike (same kind, string, box and layer) together."""
    runs: list[list[packing.PackedThing]] = []
    for one in ones:
        before = runs[-1][-1] if runs else None
        if (
            before is not None
            and one.thing.what == before.thing.what == "prop"
            and kinds[one.thing.id] == kinds[before.thing.id]
            and (one.thing.string, one.box, one.layer) == (before.thing.string, before.box, before.layer)
        ):
            runs[-1].append(one)
        else:
            runs.append([one])
    return runs


def _hung(run: list[packing.PackedThing], packed: packing.Packed, kinds: dict[str, str], joined: set[str]) -> Row:
    first, last = run[0], run[-1]
    ids = first.thing.id if len(run) == 1 else f"{first.thing.id} to {last.thing.id}"
    return {
        "ids": ids,
        "what": kinds.get(first.thing.id, first.thing.what),
        "count": f"{len(run):,}",
        "box": packed.box_id(first.box) if first.fits else "by itself",
        "layer": f"{first.layer}",
        "joined": "one piece" if any(one.thing.id in joined for one in run) else "",
    }
