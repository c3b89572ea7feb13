"""Where pages, scripts and styles lie: what all share in one folder, what a room has of its own in the room's."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from jinja2 import BaseLoader, ChoiceLoader, FileSystemLoader, PrefixLoader
from starlette.staticfiles import StaticFiles

HERE = Path(__file__).parent


@cache
def folders(name: str) -> tuple[Path, ...]:
    """Return every folder called `name` ("pages" or "static") of the workbench, the shared one first."""
    rooms = sorted(one / name for one in (HERE / "rooms").iterdir() if (one / name).is_dir())
    return (HERE / name, *rooms, HERE / "phone" / name)


def static_file(name: str) -> Path:
    """Return the script, style or picture of a name; raises KeyError where there is none."""
    for folder in folders("static"):
        if (folder / name).is_file():
            return folder / name
    raise KeyError(name)


def page_loader() -> BaseLoader:
    """Return the loader of all pages; those of the phone go by "phone/NAME"."""
    shared = [one for one in folders("pages") if one.parent.name != "phone"]
    return ChoiceLoader([FileSystemLoader(shared), PrefixLoader({"phone": FileSystemLoader(HERE / "phone" / "pages")})])


class RoomFiles(StaticFiles):
    """Scripts and styles under one address, whichever room they lie in."""

    def __init__(self) -> None:
        super().__init__(directory=HERE / "static")
        self.all_directories = list(folders("static"))
