"""The steps that a plan tells of, against the list by which a bar knows how far it is."""

from pathlib import Path

from hollowglow.jobs.plan import plan_file
from hollowglow.jobs.start.demo import write_demo
from hollowglow.plan import STEPS


def test_a_plan_tells_of_every_step_once_and_in_order(tmp_path: Path) -> None:
    told: list[str] = []
    plan_file(write_demo(tmp_path)[0], told.append)
    assert tuple(told) == STEPS
