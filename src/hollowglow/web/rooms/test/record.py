"""The record of a display's walks as pages show it: what is open, what it means, what nobody has looked at."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from hollowglow.measured.readings import Answered, answered
from hollowglow.show.walk import Layout, diagnose, layout_of, open_answers
from hollowglow.web.words import told

if TYPE_CHECKING:
    from pathlib import Path

    from hollowglow.plan import Plan


@dataclass(frozen=True)
class Walked:
    """All answers of a display with its layout; `of` is the plan that they were read with."""

    of: Plan | None = None
    layout: Layout = field(default_factory=lambda: Layout("", (), (), (), 0))
    answers: tuple[Answered, ...] = ()

    def data(self) -> dict[str, Any]:
        """Return it as plain data."""
        from hollowglow.jobs.shows.walk import sentence

        seen = {a.target for a in self.answers}
        left = open_answers(self.answers)
        return {
            "answers": len(self.answers),
            "open": [
                {"at": a.at, "step": a.step, "target": a.target, "answer": a.answer, "seen": a.seen, "note": a.note}
                for a in left
            ],
            "meanings": [
                {"says": sentence(d), "measure": told(d.measure)} for d in diagnose(self.layout, self.answers)
            ],
            "props": len(self.layout.props),
            "unseen": sum(prop.id not in seen for prop in self.layout.props),
        }


def walked(path: Path, plan: Plan, before: Walked) -> Walked:
    """Return the record as it is now.

    Args:
        path: of the display file.
        plan: of the display.
        before: the record as it was read last.

    Raises:
        Refusal: the answers cannot be read.
    """
    layout = before.layout if before.of is plan else layout_of(plan)
    return Walked(plan, layout, answered(path))
