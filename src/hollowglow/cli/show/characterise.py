"""A measured light on the terminal: its characteristic, parameters with limits beside the catalogue, what is open."""

from __future__ import annotations

from rich.console import Console
from rich.text import Text

from hollowglow.analysis.circuit.characterise import FittedCharacteristic, Parameter
from hollowglow.cli.show.tables import print_table, table
from hollowglow.file.model.loads import CHARACTERISTICS
from hollowglow.jobs.characterise import CharacterisedPart
from hollowglow.quantity.words import amps

_NAMES = {one.name(): one.TOLD for one in CHARACTERISTICS}
_NEVER_TOLD = [key for one in CHARACTERISTICS for key in one.NEVER_MEASURED]
_SCALES = {"A": (1e3, "mA"), "W": (1e3, "mW")}


def show_characteristic(console: Console, characterised: CharacterisedPart) -> None:
    """Print what the readings of a light say."""
    fitted = characterised.fitted
    console.print(Text(characterised.part, style="bold"))
    console.print(_verdict(fitted))
    shown = table("", "parameter", "value", "95 % limits", "stated", "difference", "from", right=(1, 2, 3, 4))
    for one in fitted.parameters:
        shown.add_row(
            f"{one.key} {one.colour}".strip(),
            _amount(one, one.value),
            "-" if one.low is None or one.high is None else f"{_amount(one, one.low)} to {_amount(one, one.high)}",
            "-" if one.catalogue is None else _amount(one, one.catalogue),
            _difference(one),
            one.source,
        )
    print_table(console, shown, 0, 0, "")
    reading, miss = fitted.worst
    console.print(f"\nFarthest from the characteristic: {reading.shown}, by {amps(abs(miss))}.")
    for words in _open(fitted):
        console.print(words)


def _verdict(fitted: FittedCharacteristic) -> str:
    characteristic = f"{fitted.characteristic} ({_NAMES[fitted.characteristic]})"
    if not fitted.sure:
        rivals = " or ".join(one.characteristic for one in fitted.characteristics if one.possible)
        return (
            f"Taken as {characteristic}. The readings do not tell {rivals} apart; a reading at another voltage, "
            "a few volts lower, would."
        )
    others = ", ".join(
        f"{one.characteristic} misses a reading by {amps(one.miss_a)}"
        if one.behind is None
        else f"{one.characteristic} is {one.behind:.1f} behind in AICc"
        for one in fitted.characteristics
        if one.characteristic != fitted.characteristic
    )
    changed = (
        f", not {fitted.stated_characteristic} as stated"
        if fitted.characteristic != fitted.stated_characteristic
        else " as stated"
    )
    return f"The readings follow {characteristic}{changed} ({others})."


def _amount(one: Parameter, value: float) -> str:
    scale, unit = _SCALES.get(one.unit, (1.0, one.unit))
    return f"{value * scale:.4g} {unit}".strip()


def _difference(one: Parameter) -> str:
    if one.source != "measured" or not one.catalogue:
        return "-"
    share = 100.0 * (one.value / one.catalogue - 1.0)
    known = one.low is not None and one.high is not None
    chance = known and one.low <= one.catalogue <= one.high  # type: ignore[operator]
    return f"{share:+.1f} %" + (" (may be chance)" if chance else "")


def _open(fitted: FittedCharacteristic) -> list[str]:
    """Return what the readings leave open, and which reading would tell it."""
    words = []
    kept = {
        source: list(dict.fromkeys(p.key for p in fitted.parameters if p.source == source and p.key not in _NEVER_TOLD))
        for source in ("catalogue", "assumed")
    }
    untold = [p.key for p in fitted.parameters if p.key in _NEVER_TOLD]
    if untold:
        words.append(f"No current tells {' or '.join(untold)}: taken as shown.")
    if kept["catalogue"]:
        words.append(f"Too few readings for {', '.join(kept['catalogue'])}: as stated before.")
    if kept["assumed"]:
        words.append(f"Neither measured nor stated, but assumed: {', '.join(kept['assumed'])}.")
    if any(p.source == "measured" and p.low is None and p.key != "cutoff" for p in fitted.parameters):
        words.append("As many readings as unknowns: repeat some to learn how sure these numbers are.")
    return words
