"""Random and mutated datagrams by the hundred thousand: nothing is raised and nothing piles up."""

from benchmarks.hearing import GROWTH_OCTETS, storm

COUNT = 200_000  # `python -m benchmarks` lets a million rain


def test_a_storm_of_datagrams_raises_nothing_and_leaves_nothing_behind() -> None:
    done = storm(COUNT)
    assert done.malformed > COUNT / 10
    assert done.taken > COUNT / 100
    # 4 universes of 16 sources, each with two frames of 512 octets and what goes with them, have their places long before.
    assert done.end_octets < 1_000_000
    assert done.end_octets - done.middle_octets < GROWTH_OCTETS
