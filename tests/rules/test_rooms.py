"""The package is a house of few rooms: how many, how large, and that each one's order is held by the import linter."""

import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

import hollowglow

HOUSE = Path(hollowglow.__file__).parent
PROJECT = Path(__file__).parents[2] / "pyproject.toml"
MOST_ROOMS = 16
FEWEST, MOST = 3, 12
# Besides the rooms: the command as a module, and all analyses of one display.
BESIDE = {"__main__.py", "plan.py"}


def holds_anything(folder: Path) -> bool:
    """Whether a folder is there for something: one that only bytecode is left of is gone."""
    return any(one.is_file() and "__pycache__" not in one.parts for one in folder.rglob("*"))


def entries(room: Path) -> set[str]:
    """The modules, rooms and data files directly in a room."""
    there = {one.name for one in room.iterdir() if one.is_file() or holds_anything(one)}
    return there - {"__init__.py", "py.typed"}


def folders(room: Path) -> Iterator[Path]:
    """Every folder below a room, those of data as well."""
    for one in sorted(room.iterdir()):
        if one.is_dir() and holds_anything(one):
            yield one
            yield from folders(one)


def is_package(folder: Path) -> bool:
    return (folder / "__init__.py").is_file()


def dotted(folder: Path) -> str:
    return ".".join(("hollowglow", *folder.relative_to(HOUSE).parts))


def layered() -> dict[str, list[dict[str, object]]]:
    """The contracts about floors and neighbours, by the room that they are about."""
    contracts = tomllib.loads(PROJECT.read_text(encoding="utf-8"))["tool"]["importlinter"]["contracts"]
    found: dict[str, list[dict[str, object]]] = {}
    for contract in contracts:
        for container in contract.get("containers", ()):
            found.setdefault(container, []).append(contract)
    return found


TOP = [one for one in folders(HOUSE) if one.parent == HOUSE]
BELOW = [one for one in folders(HOUSE) if one.parent != HOUSE]
# A room that holds rooms has floors or neighbours, whose order somebody has to know.
HOLDS_ROOMS = [one for one in (HOUSE, *folders(HOUSE)) if any(is_package(inner) for inner in one.iterdir())]


def test_the_house_has_few_rooms_and_hardly_anything_beside_them() -> None:
    assert 1 < len(TOP) <= MOST_ROOMS
    assert entries(HOUSE) - {room.name for room in TOP} == BESIDE


@pytest.mark.parametrize("room", TOP, ids=lambda room: room.name)
def test_a_room_holds_neither_too_little_nor_too_much(room: Path) -> None:
    assert FEWEST <= len(entries(room)) <= MOST, sorted(entries(room))


@pytest.mark.parametrize("folder", BELOW, ids=dotted)
def test_a_room_within_a_room_holds_not_too_much_and_more_than_one_thing(folder: Path) -> None:
    fewest = 2 if is_package(folder) else 1
    assert fewest <= len(entries(folder)) <= MOST, sorted(entries(folder))


@pytest.mark.parametrize("folder", [HOUSE, *filter(is_package, folders(HOUSE))], ids=dotted)
def test_a_room_says_what_it_is_for(folder: Path) -> None:
    first = (folder / "__init__.py").read_text(encoding="utf-8").partition("\n")[0]
    assert first.startswith('"""'), first
    assert len(first) > len('"""."""'), first


@pytest.mark.parametrize("room", HOLDS_ROOMS, ids=dotted)
def test_a_contract_holds_the_order_of_every_room_that_holds_rooms(room: Path) -> None:
    contracts = layered().get(dotted(room), [])
    assert [one["type"] for one in contracts] == ["layers"], "expected one contract about its floors"
    # Exhaustive: a new module or room in it has to be given its floor.
    assert contracts[0].get("exhaustive") is True


def test_no_contract_is_about_a_room_that_is_gone() -> None:
    assert set(layered()) <= {dotted(folder) for folder in (HOUSE, *folders(HOUSE))}
