"""What a prop weighs before and after, and what that does to its hook."""

from __future__ import annotations

import math
from dataclasses import dataclass

from hollowglow.assembly import Assembly

# CGPM 1901, standard acceleration of gravity, m/s².
GRAVITY_M_S2 = 9.80665
# A prop that swings in a gust pulls several times its weight; an estimate of our own.
SWING_FACTOR = 3.0
# Alkaline cells, typical of generic data sheets; the sizes are those of IEC 60086-2 (R6 and R03), at most.
CELL_KG = {"AA": 0.023, "AAA": 0.0115}
CELL_M = {"AA": (0.0145, 0.0505), "AAA": (0.0105, 0.0445)}


@dataclass(frozen=True, slots=True)
class Item:
    """So many of one thing, each of a mass in kg; None where it is not stated."""

    name: str
    count: float
    each_kg: float | None

    @property
    def total_kg(self) -> float:
        """Return the mass of all of them, kg; 0 where it is not stated."""
        return 0.0 if self.each_kg is None else self.count * self.each_kg


@dataclass(frozen=True)
class Weight:
    """A prop's mass before and after, and its hook.

    The spans beside a prop hang on it too, by how far they sag; they are not counted here.

    Attributes:
        before, after: what it consists of.
        hook: name of the hook part, None where none is stated.
        holds_kg: what that holds, kg.
        metal: whether that is of metal.
    """

    before: tuple[Item, ...]
    after: tuple[Item, ...]
    hook: str | None
    holds_kg: float | None
    metal: bool | None

    @property
    def before_kg(self) -> float:
        """Return the mass of what is known before, kg."""
        return math.fsum(item.total_kg for item in self.before)

    @property
    def after_kg(self) -> float:
        """Return the mass of what is known after, kg."""
        return math.fsum(item.total_kg for item in self.after)

    @property
    def unknown_before(self) -> tuple[str, ...]:
        """Return the things without a stated mass before."""
        return tuple(item.name for item in self.before if item.each_kg is None)

    @property
    def unknown_after(self) -> tuple[str, ...]:
        """Return the things without a stated mass after."""
        return tuple(item.name for item in self.after if item.each_kg is None)

    @property
    def load_n(self) -> float:
        """Return the weight of what is known after, N."""
        return self.after_kg * GRAVITY_M_S2

    @property
    def swinging_n(self) -> float:
        """Return the pull of that when the prop swings, N: the weight times SWING_FACTOR (an estimate)."""
        return self.load_n * SWING_FACTOR

    @property
    def wanted_kg(self) -> float:
        """Return what a hook must at least hold, kg."""
        return self.after_kg * SWING_FACTOR

    @property
    def overloaded(self) -> bool:
        """Return whether the hook holds less than that."""
        return self.holds_kg is not None and self.wanted_kg > self.holds_kg * (1.0 + 1e-9)

    @property
    def gain_kg(self) -> float:
        """Return what is known to be added less what is taken out, kg; the shell counts in both and cancels."""
        return self.after_kg - self.before_kg

    @property
    def heavier(self) -> bool:
        """Return whether the prop is heavier than before; things of unknown mass can only add to that."""
        return self.gain_kg > 1e-9

    @property
    def metal_wanted(self) -> bool:
        """Return whether a moulded hook should give way to one of metal."""
        return self.metal is False and (self.overloaded or self.heavier)


def weight_of(assembly: Assembly, name: str) -> Weight:
    """Return the masses of one prop of a kind, and its hook."""
    kind, parts = assembly.display.kinds[name], assembly.display.parts
    shell, carrier, fill = kind.shell, kind.carrier, kind.fill
    body = [] if shell is None else [Item("shell", 1, shell.mass)]
    before = list(body)
    if shell is not None and shell.batteries is not None:
        before.append(Item(f"{shell.batteries.size} cells", shell.batteries.count, CELL_KG[shell.batteries.size]))
    after = list(body)
    if carrier is not None:
        after.append(Item("carrier", 1, carrier.mass))
    after.append(Item(fill.light, fill.count, parts[fill.light].mass))
    if fill.wiring is not None and fill.count > 1:
        metres = (fill.count - 1) * fill.wiring.length
        after.append(Item(f"m of {fill.wiring.cable} between lights", metres, parts[fill.wiring.cable].mass))
    if kind.pigtail is not None:
        pigtail = kind.pigtail
        after.append(Item(f"m of {pigtail.cable} in pigtails", 2.0 * pigtail.length, parts[pigtail.cable].mass))
    if kind.gland is not None:
        after.append(Item(kind.gland.part, kind.gland.count, parts[kind.gland.part].mass))
    hook = None
    if kind.hook is not None:
        hook = parts[kind.hook].hook
        # A moulded loop is part of its shell and was weighed with it.
        moulded = hook is not None and not hook.metal and parts[kind.hook].mass is None
        if not moulded:
            after.append(Item(kind.hook, 1, parts[kind.hook].mass))
    return Weight(
        tuple(before),
        tuple(after),
        kind.hook,
        None if hook is None else hook.holds,
        None if hook is None else hook.metal,
    )
