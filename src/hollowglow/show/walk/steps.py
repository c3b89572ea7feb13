"""What can be lit on its own in a walk, in which order, and what the person should then see."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from hollowglow.messages.refusal import Refusal
from hollowglow.quantity.shown import nearest
from hollowglow.show.walk.counting import DIGIT_WORDS, digits_for

if TYPE_CHECKING:
    from hollowglow.show.walk.layout import Layout, PropPlace, StringPlace

Sort = Literal["string", "output", "order", "ends", "direction", "count", "code", "gang", "prop", "load"]
SORTS: tuple[Sort, ...] = (
    "string",
    "output",
    "order",
    "ends",
    "direction",
    "count",
    "code",
    "gang",
    "prop",
    "load",
)
TITLES: dict[Sort, str] = {
    "string": "whole string",
    "output": "whole output",
    "order": "colour order",
    "ends": "both ends",
    "direction": "direction",
    "count": "count the blinks",
    "code": "read the numbers",
    "gang": "all lights of a prop as one",
    "prop": "one prop",
    "load": "full-load trial",
}
# Above this many props counting blinks takes too long on a ladder, and the colour code is shown.
MOST_BLINKED = 12


@dataclass(frozen=True, slots=True)
class WalkStep:
    """One thing to light: which sort of look, at what; `id` is both, such as prop:rail/prop07.

    Attributes:
        sort: what is shown.
        target: id of the prop, string, output or supply.
        props: rows of the props that it is about.
    """

    sort: Sort
    target: str
    props: tuple[int, ...]

    @property
    def id(self) -> str:
        """Return the step's id."""
        return f"{self.sort}:{self.target}"


def route(layout: Layout, only: Sort | None = None) -> tuple[WalkStep, ...]:
    """Return the steps of a walk in the order in which they are taken.

    String by string: all of it, colours, ends, direction, numbers, ganged lights, every prop; then each supply's trial.

    Args:
        layout: of the display.
        only: leave out the steps of every other sort.
    """
    steps = []
    for string in layout.strings:
        for sort in _sorts(layout, string, only):
            if sort == "prop":
                steps += [WalkStep("prop", layout.props[row].id, (row,)) for row in string.props]
            elif sort == "order":
                steps += [step_of(layout, "order", layout.props[string.props[0]].id)]
            else:
                steps.append(step_of(layout, sort, string.output if sort == "output" else string.name))
    if only in (None, "load"):
        steps += [step_of(layout, "load", supply) for supply in layout.supplies if layout.supplied(supply)]
    return tuple(steps)


def _sorts(layout: Layout, string: StringPlace, only: Sort | None) -> tuple[Sort, ...]:
    if only is not None:
        return (only,) if only != "load" else ()
    sorts: list[Sort] = ["string"]
    if layout.props[string.props[0]].colours >= 3:
        sorts.append("order")
    if len(string.props) > 1:
        sorts += ["ends", "direction", "count" if len(string.props) <= MOST_BLINKED else "code"]
    if any(layout.props[row].lights > 1 for row in string.props):
        sorts.append("gang")
    return (*sorts, "prop")


def step_of(layout: Layout, sort: Sort, target: str) -> WalkStep:
    """Return the step of a sort at a target that exists."""
    if sort == "load":
        return WalkStep(sort, target, tuple(p for row in layout.supplied(target) for p in layout.strings[row].props))
    if target in layout.prop_rows:
        return WalkStep(sort, target, (layout.prop_rows[target],))
    row = layout.output_rows[target] if sort == "output" else layout.string_rows[target]
    return WalkStep(sort, target, tuple(layout.strings[row].props))


def find(layout: Layout, text: str) -> WalkStep:
    """Return the step that a person names: an id, or a sort of step and an id ("order rail/prop03").

    Raises:
        Refusal: nothing has this name, or this sort of step is not made for it.
    """
    words = text.replace(":", " ", 1).split()
    sort: Sort | None = next((s for s in SORTS if len(words) > 1 and s == words[0]), None)
    name = " ".join(words[1:] if sort is not None else words)
    homes: dict[Sort, dict[str, int] | tuple[str, ...]] = {
        "prop": dict(layout.prop_rows),
        "string": dict(layout.string_rows),
        "output": dict(layout.output_rows),
        "load": layout.supplies,
    }
    found: Sort | None = next((home for home, names in homes.items() if name in names), None)
    if found is None:
        every = [n for names in homes.values() for n in names]
        hint = nearest(name, every) or "Type an id as the plan shows it, such as rail/prop07, rail, box/1."
        raise Refusal(f'There is no prop, string, output or supply "{name[:60]}" in this display. {hint}')
    if sort is None:
        return step_of(layout, found, name)
    takes: dict[Sort, tuple[Sort, ...]] = {
        "prop": ("prop",),
        "string": ("string",),
        "output": ("output",),
        "load": ("load",),
        "order": ("prop",),
        "gang": ("prop", "string"),
    }
    wanted = takes.get(sort, ("string",))
    # One name may stand for a string and for a supply: the sort of step tells which is meant.
    if not any(name in homes[home] for home in wanted):
        raise Refusal(f'"{name}" is no {" and no ".join(wanted)}, expected one for the step "{sort}". Type its id.')
    return step_of(layout, sort, name)


def place_words(layout: Layout, step: WalkStep) -> str:
    """Return where a step is: kind, place on the string, universe and slot."""
    if step.sort == "load":
        names = ", ".join(layout.strings[row].name for row in layout.supplied(step.target))
        return f"supply {step.target}, {len(step.props)} props on {names}"
    if len(step.props) == 1:
        prop = layout.props[step.props[0]]
        string = layout.strings[prop.string]
        return (
            f"{prop.kind}, prop {prop.number} of {len(string.props)} on {string.name}, output {string.output}, "
            f"universe {prop.universe}, slot {prop.slot}"
        )
    first = layout.props[step.props[0]]
    string = layout.strings[first.string]
    return (
        f"{len(step.props)} {_props(step.props)} on string {string.name}, output {string.output}, "
        f"from universe {first.universe}, slot {first.slot}"
    )


def look_words(layout: Layout, step: WalkStep) -> str:
    """Return what the person should see now."""
    first = layout.props[step.props[0]]
    string = layout.strings[first.string]
    count = len(step.props)
    if step.sort == "prop":
        return f"This one prop alone is white{_all_of(first)}; everything else is dark."
    if step.sort == "string":
        return f"All of string {string.name} is white, {count} {_props(step.props)}; everything else is dark."
    if step.sort == "output":
        return f"What hangs on output {string.output} is white, {count} {_props(step.props)}; everything else is dark."
    if step.sort == "order":
        return (
            "This prop shows red, green, blue, white, one after the other, then a dark pause. "
            "Type what you see in this order, such as rgbw."
        )
    if step.sort == "ends":
        last = layout.props[step.props[-1]]
        if count == 1:
            return f"{first.id} is first and last: it is blue with one long blink."
        return (
            f"{first.id}, next to the lead, is blue with one long blink; {last.id}, at the far end, is yellow with two "
            "short blinks; all between is dark."
        )
    if step.sort == "direction":
        return f"One white prop at a time runs from the lead, {first.id}, to the far end, again and again."
    if step.sort == "count":
        return "All are white together, then each blinks yellow: prop 1 once, prop 2 twice and so on, in fives."
    if step.sort == "code":
        width = digits_for(count)
        return (
            f"All are white together, then each tells its number in {width} {'colour' if width == 1 else 'colours'}: "
            f"{'; '.join(f'{d} is {words}' for d, words in enumerate(DIGIT_WORDS))}. The first counts "
            f"{', '.join(str(3**place) for place in reversed(range(width)))}. Type what a prop shows to learn its number."
        )
    if step.sort == "gang":
        return (
            f"All lights inside {'this prop' if count == 1 else 'each prop'} show one and the same colour, and its "
            "neighbours another. One light of another colour inside a prop is wrong."
        )
    return (
        f"Everything on supply {step.target} comes up to full white over some seconds. Press g to start; "
        "any key stops it."
    )


def _props(rows: tuple[int, ...]) -> str:
    return "prop" if len(rows) == 1 else "props"


def _all_of(prop: PropPlace) -> str:
    return "" if prop.lights == 1 else f", all {prop.lights} lights in it"
