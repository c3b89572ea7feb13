"""The mains side of a display as stated: circuits with their breakers, and a season of evenings."""

from __future__ import annotations

from typing import Annotated, Literal

from hollowglow.file.model.fields import Frozen, Price, whole
from hollowglow.file.model.keys import Assumed, key
from hollowglow.quantity.units import Breaker, MainsVoltage, Night, Residual, Share


class MainsCircuit(Frozen):
    """One mains circuit; its wiring is a licensed electrician's."""

    about: str = key("what it is, in the builder's own words", "")
    voltage: MainsVoltage = key("mains voltage")
    breaker: Breaker = key("rating of its breaker")
    curve: Literal["B", "C", "D"] = key(
        "`B`, `C` or `D`: from 3, 5 or 10 times its rating the breaker may open at once (IEC 60898-1)",
        "B",
        assumed="its breaker may open at once from three times its rating (IEC 60898-1)",
    )
    rcd: Residual | None = key(
        "rating of its residual-current device, such as `6 mA` or `30 mA`",
        None,
        assumed="no residual-current device known, so leakage is held against none",
    )


class Season(Frozen):
    """How long the display is lit, and what that costs."""

    nights: Annotated[int, whole(1, 366, "how many nights")] = key(
        "how many nights",
        42,
        assumed=Assumed("nights that it is lit", when=lambda season, display: display.states_mains),
    )
    hours: Night = key(
        "time of each night, such as `5 h`",
        18000.0,
        assumed=Assumed("hours of each night", when=lambda season, display: display.states_mains),
    )
    average: Share = key(
        "power of the show over that of full white at the file's levels",
        0.30,
        assumed=Assumed(
            "power of the show over that of full white (an estimate)", when=lambda season, display: display.states_mains
        ),
    )
    price_per_kwh: Price = key(
        "price of a kilowatt-hour",
        0.0,
        assumed=Assumed("price of a kilowatt-hour", when=lambda season, display: display.states_mains),
    )
