"""The mains side of a display as stated: circuits with their breakers, and a season of evenings."""

from __future__ import annotations

from typing import Annotated, Literal

from hollowglow.file.model.fields import Frozen, Price, whole
from hollowglow.quantity.units import Breaker, MainsVoltage, Night, Residual, Share


class MainsCircuit(Frozen):
    """One mains circuit that supplies stand on."""

    about: str = ""
    voltage: MainsVoltage
    breaker: Breaker
    curve: Literal["B", "C", "D"] = "B"
    rcd: Residual | None = None


class Season(Frozen):
    """How long the display is lit, and what that costs."""

    nights: Annotated[int, whole(1, 366, "how many nights")] = 42
    hours: Night = 18000.0
    average: Share = 0.30
    price_per_kwh: Price = 0.0
