"""Every code that a check can find: each is declared beside its check and registered here."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from hollowglow.analysis.circuit.fault.judge import CODES as OF_FAULTS
from hollowglow.analysis.circuit.mains.judge import CODES as OF_MAINS
from hollowglow.analysis.circuit.power.judge import CODES as OF_POWER
from hollowglow.analysis.data.judge import CODES as OF_DATA
from hollowglow.analysis.data.orders import COLOUR_ORDER
from hollowglow.analysis.match.judge import KINDS_UNEQUAL
from hollowglow.analysis.money.cost.joining import PLUG_MISMATCH
from hollowglow.analysis.prop.making.judge import CODES as OF_MAKING
from hollowglow.analysis.prop.optics.judge import CODES as OF_LIGHT
from hollowglow.analysis.site.placement.judge import CODES as OF_PLACES
from hollowglow.messages import Code

_DECLARED: tuple[Code, ...] = (
    *OF_FAULTS,
    *OF_MAINS,
    *OF_DATA,
    COLOUR_ORDER,
    PLUG_MISMATCH,
    *OF_LIGHT,
    KINDS_UNEQUAL,
    *OF_MAKING,
    *OF_PLACES,
    *OF_POWER,
)

CODES: Mapping[str, Code] = MappingProxyType({code.name: code for code in _DECLARED})
