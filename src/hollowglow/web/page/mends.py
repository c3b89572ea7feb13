"""Where on the workbench each finding is mended, and how what its mend asks for is done there."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import TYPE_CHECKING
from urllib.parse import urlencode

from hollowglow.analysis.findings import CODES
from hollowglow.assembly.ids import owner

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hollowglow.plan import Plan


WAYS: Mapping[str, str] = MappingProxyType(
    {"measure": " in the room Match", "match": "the room Match", "apply": "the room Match"}
)


def place_of(code: str, where: Iterable[str], plan: Plan) -> str:
    """Return the address of the page on which a finding is mended, with the string or kind that it is about.

    Args:
        code: of the finding.
        where: the ids that it names.
        plan: that it is from.
    """
    room = CODES[code].stage
    names = [owner(name) for name in where]
    strings, kinds = set(plan.assembly.strings.names), set(plan.assembly.kinds.names)
    about = {}
    if room in ("feed", "place"):
        about = {"string": next((n for n in names if n in strings), "")}
    elif room == "fill":
        about = {"kind": next((n for n in names if n in kinds), "")}
    query = urlencode({k: v for k, v in about.items() if v})
    return f"/{room}" + (f"?{query}" if query else "")
