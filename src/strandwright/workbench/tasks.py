"""What the worker process can do: the jobs, by name, with what it keeps from one to the next."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from strandwright.jobs.plan import plan_file
from strandwright.plan import STEPS, Plan

Step = Callable[[int, int, str], None]


@dataclass
class Kept:
    """What the process remembers: the last plan, so that the light of unchanged kinds is not computed again."""

    plan: Plan | None = None


def plan(kept: Kept, step: Step, path: str) -> Plan:
    """Return the plan of a display file."""
    kept.plan = plan_file(path, lambda name: step(STEPS.index(name), len(STEPS), name), kept.plan)
    return kept.plan


TASKS: dict[str, Callable[..., Any]] = {"plan": plan}
