"""What is taken for granted about supplies in a short, on the mains, and over a season: (value, meaning) by key."""

from __future__ import annotations

from hollowglow.file.model.display import DEFAULT_LIMIT, INRUSH_A_PER_V, Supply
from hollowglow.file.model.mains import Season

Defaults = dict[str, tuple[str, str]]


def _percent(share: float) -> str:
    return f"{100.0 * share:g} %"


def _seconds(time_s: float) -> str:
    return f"{time_s:g} s" if time_s >= 1.0 else f"{1e3 * time_s:g} ms"


def limit_defaults(supply: Supply) -> Defaults:
    """Return what a supply is taken to do when it is shorted."""
    taken = {
        "limit": ("hiccup", "in a short it switches off and tries again and again; its data sheet says"),
        "limit_current": (f"{_percent(DEFAULT_LIMIT)} of its rated current", "current above which it limits (typical)"),
    }
    if supply.limit == "foldback":
        taken["limit_at_zero"] = (
            _percent(supply.limit_at_zero),
            "share of the limit that still flows at 0 V, in a straight line with the voltage (typical)",
        )
    if supply.limit == "hiccup":
        taken["limit_on"] = (_seconds(supply.limit_on), "time that it delivers its limit in each try (typical)")
        taken["limit_off"] = (_seconds(supply.limit_off), "pause between two tries (typical)")
    return taken


def side_defaults(supply: Supply) -> Defaults:
    """Return what is taken for granted about a supply on the mains, all typical of generic data sheets."""
    return {
        "circuit": ("none", "the mains circuit that it stands on is not known"),
        "efficiency": (f"{supply.efficiency:g}", "power delivered over power taken from the mains (typical)"),
        "power_factor": (f"{supply.power_factor:g}", "a supply without power factor correction (typical)"),
        "leakage": (f"{1e3 * supply.leakage:g} mA", "what its filter leaks to earth all the time (typical limit)"),
        "inrush": (
            f"{INRUSH_A_PER_V:g} A for each volt of its circuit",
            "peak when it is switched on cold: 30 A at 120 V, 57.5 A at 230 V (typical)",
        ),
    }


def circuit_defaults() -> Defaults:
    """Return what is taken for granted about a mains circuit."""
    return {
        "curve": ("B", "its breaker may open at once from three times its rating (IEC 60898-1)"),
        "rcd": ("none", "no residual-current device known, so leakage is held against none"),
    }


def season_defaults(season: Season) -> Defaults:
    """Return what is taken for granted about how long the display is lit."""
    return {
        "nights": (f"{season.nights}", "nights that it is lit"),
        "hours": (f"{season.hours / 3600.0:g} h", "hours of each night"),
        "average": (_percent(season.average), "power of the show over that of full white (an estimate)"),
        "price_per_kwh": (f"{season.price_per_kwh:g}", "price of a kilowatt-hour"),
    }
