"""Light thrown about inside a diffuse shell until it leaves or is absorbed, and what comes out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from hollowglow.analysis.prop.inside.hollow import Floats, OpticsError
from hollowglow.analysis.prop.optics.beams import Arrival, PointLight, arrival
from hollowglow.analysis.prop.optics.enclosure.exchange import Enclosure, Exchange, RoundExchange

DEFAULT_CARRIER_REFLECTANCE = 0.8
_TOLERANCE = 1e-12
_MOST_STEPS = 2000
_WORTH_FACTORS = 2


@dataclass(frozen=True)
class Wall:
    """What a shell's wall does with light that meets its inside; the rest of 1 is absorbed.

    Attributes:
        transmittance: diffuse, of each colour, 0 to 1.
        reflectance: diffuse, of each colour, 0 to less than 1.
    """

    transmittance: tuple[float, ...]
    reflectance: tuple[float, ...]

    def __post_init__(self) -> None:
        if not self.transmittance or len(self.transmittance) != len(self.reflectance):
            raise OpticsError(
                f"the wall has {len(self.transmittance)} transmittances and {len(self.reflectance)} reflectances"
            )
        for tau, rho in zip(self.transmittance, self.reflectance, strict=True):
            if not (0.0 <= tau <= 1.0 and 0.0 <= rho < 1.0):
                raise OpticsError(
                    f"the wall has a transmittance of {tau:g} and a reflectance of {rho:g}; both are 0 to 1"
                )
            if tau + rho > 1.0 + 1e-9:
                raise OpticsError(
                    f"the transmittance {tau:g} and the reflectance {rho:g} of the wall add up to {tau + rho:g}, more than 1"
                )


@dataclass(frozen=True)
class Glow:
    """What the lights make of a shell; all arrays have one column for each colour.

    Attributes:
        room: the enclosure.
        wall: what its wall does with light.
        lights: where the light comes from.
        direct_lx: what arrives at each wall patch straight from the lights, shape (n, c).
        irradiance_lx: all that arrives at each wall patch, shape (n, c).
        luminance_cd_m2: of each wall patch seen from outside, tau E / pi, shape (n, c).
        flux_in_lm: what the lights give, shape (c,).
        flux_out_lm: what leaves through the wall, shape (c,).
        wall_absorbed_lm: what the wall keeps, shape (c,).
        carrier_absorbed_lm: what the carrier keeps, shape (c,).
        gap: how far the quadrature of the lights was from their whole flux before it was made whole.
        gain: by what readings multiplied what leaves (luminance and flux out), 1 or shape (c,).
    """

    room: Enclosure
    wall: Wall
    lights: tuple[PointLight, ...]
    direct_lx: Floats
    irradiance_lx: Floats
    luminance_cd_m2: Floats
    flux_in_lm: Floats
    flux_out_lm: Floats
    wall_absorbed_lm: Floats
    carrier_absorbed_lm: Floats
    gap: float
    gain: Floats | float = 1.0

    @property
    def light_output_ratio(self) -> float:
        """Return the share of all light that leaves."""
        return float(self.flux_out_lm.sum() / self.flux_in_lm.sum())

    @property
    def mean_luminance_cd_m2(self) -> float:
        """Return the luminance of all colours together, averaged over the wall."""
        return float(self.flux_out_lm.sum()) / (math.pi * float(self.room.wall.area.sum()))


@dataclass(frozen=True)
class Interior:
    """An enclosure with given walls, its equations solved once for any number of lights.

    Attributes:
        room: the enclosure.
        wall: what the wall does with light.
        carrier_reflectance: diffuse reflectance of the carrier, of each colour.
        solver: its equations.
    """

    room: Enclosure
    wall: Wall
    carrier_reflectance: tuple[float, ...]
    solver: Solver

    def glow(self, lights: Sequence[PointLight]) -> Glow:
        """Return what the lights make of the shell; raises OpticsError for lights that do not fit into it."""
        return self.glow_of(arrival(self.room, lights))

    def glow_of(self, direct: Arrival) -> Glow:
        """Return what light that arrives directly makes of the shell."""
        if direct.illuminance_lx.shape[1] != len(self.wall.reflectance):
            raise OpticsError(
                f"the lights have {direct.illuminance_lx.shape[1]} colours and the wall has {len(self.wall.reflectance)}"
            )
        n = self.room.wall_count
        area = self.room.area
        arriving = self.solver.irradiance(direct.illuminance_lx)
        on_wall = area[:n] @ arriving[:n]
        on_carrier = area[n:] @ arriving[n:]
        tau, rho = np.array(self.wall.transmittance), np.array(self.wall.reflectance)
        return Glow(
            self.room,
            self.wall,
            direct.lights,
            direct.illuminance_lx[:n],
            arriving[:n],
            arriving[:n] * tau / math.pi,
            direct.flux_lm,
            on_wall * tau,
            on_wall * np.maximum(1.0 - tau - rho, 0.0),
            on_carrier * (1.0 - np.array(self.carrier_reflectance)),
            direct.gap,
        )


def interior(
    room: Enclosure, wall: Wall, carrier_reflectance: float | tuple[float, ...] = DEFAULT_CARRIER_REFLECTANCE
) -> Interior:
    """Return an enclosure with given walls, ready for any number of lights.

    Args:
        room: the enclosure.
        wall: what the wall does with light, in each colour.
        carrier_reflectance: diffuse reflectance of the carrier, one for all colours or one for each, 0 to less than 1.

    Raises:
        OpticsError: a reflectance out of range, or unlike numbers of colours.
    """
    colours = len(wall.reflectance)
    own = (carrier_reflectance,) * colours if isinstance(carrier_reflectance, float | int) else carrier_reflectance
    if len(own) != colours:
        raise OpticsError(f"the carrier has {len(own)} reflectances and the wall has {colours}")
    if not all(0.0 <= rho < 1.0 for rho in own):
        raise OpticsError(f"the carrier has the reflectances {list(own)}, but they are 0 to less than 1")
    return Interior(room, wall, own, _solver(room, np.array(wall.reflectance), np.array(own)))


@dataclass(frozen=True)
class Plain:
    """The equations of patches that are not alike: H = E + F rho H, irradiance H from its direct part E.

    Source: Goral et al., SIGGRAPH 1984, 213. With y = sqrt(A rho) H they are symmetric and positive, and conjugate
    gradients solve all colours at once; the even light that they start from takes the slowest part away. Where the same
    shell is asked again and again, Cholesky factors are made and kept instead.

    Attributes:
        exchange: the exchange areas.
        reflectance: of each patch and colour, shape (n, c).
    """

    exchange: Exchange
    reflectance: Floats
    _asked: list[int] = field(default_factory=lambda: [0], compare=False, repr=False)
    _factors: dict[int, tuple[Floats, bool]] = field(default_factory=dict, compare=False, repr=False)

    def irradiance(self, direct: Floats) -> Floats:
        """Return all that arrives at each patch for what arrives directly, shapes (n, c)."""
        self._asked[0] += 1
        return self._by_gradients(direct) if self._asked[0] <= _WORTH_FACTORS else self._by_factors(direct)

    def _by_factors(self, direct: Floats) -> Floats:
        from scipy.linalg import cho_factor, cho_solve

        area, shared, rho = self.exchange.area, self.exchange.shared, self.reflectance
        arriving = np.empty_like(direct)
        for colour in range(direct.shape[1]):
            own = rho[:, colour]
            like = next(c for c in range(colour + 1) if np.array_equal(rho[:, c], own))
            back = np.sqrt(own / area)
            if like not in self._factors:
                self._factors[like] = cho_factor(np.eye(len(area)) - back[:, None] * shared * back, lower=True)
            y = cho_solve(self._factors[like], np.sqrt(area * own) * direct[:, colour])
            arriving[:, colour] = direct[:, colour] + shared @ (back * y) / area
        return arriving

    def _by_gradients(self, direct: Floats) -> Floats:
        area, shared, rho = self.exchange.area[:, None], self.exchange.shared, self.reflectance
        back = np.sqrt(rho / area)
        kept = (area * rho).sum(axis=0)
        even = (area * rho * direct).sum(axis=0) / (area.sum() - kept)
        gain = np.sqrt(area * rho)
        target, y = gain * direct, gain * (direct + even)
        rest = target - y + back * (shared @ (back * y))
        step, square = rest, (rest * rest).sum(axis=0)
        floor = _TOLERANCE**2 * np.maximum((target * target).sum(axis=0), 1e-300)
        for _ in range(_MOST_STEPS):
            if (square <= floor).all():
                thrown: Floats = direct + shared @ (back * y) / area
                return thrown
            turned = step - back * (shared @ (back * step))
            along = (step * turned).sum(axis=0)
            size = np.divide(square, along, out=np.zeros_like(square), where=along > 0.0)
            y, rest = y + size * step, rest - size * turned
            fresh = (rest * rest).sum(axis=0)
            step = rest + np.divide(fresh, square, out=np.zeros_like(square), where=square > 0.0) * step
            square = fresh
        left = float(np.sqrt((square / floor).max())) * _TOLERANCE
        raise OpticsError(
            f"the light inside did not settle in {_MOST_STEPS} steps: {left:.1e} of it is left over, with reflectances up "
            f"to {float(rho.max()):g}"
        )


@dataclass(frozen=True)
class Round:
    """The inverted equations of equal sectors around an axis, one small matrix for each order of Fourier's series.

    Attributes:
        inverse: of 1 - F_m rho for each colour and order m, shape (c, orders, b, b).
        sectors: patches of each band.
    """

    inverse: Floats
    sectors: int

    def irradiance(self, direct: Floats) -> Floats:
        """Return all that arrives at each patch for what arrives directly, shapes (n, c)."""
        bands = self.inverse.shape[2]
        waves = np.fft.rfft(direct.reshape(bands, self.sectors, -1), axis=1).transpose(2, 1, 0)[..., None]
        answer = (self.inverse @ waves)[..., 0].transpose(2, 1, 0)
        return np.fft.irfft(answer, self.sectors, axis=1).reshape(direct.shape)


Solver = Plain | Round


def _solver(room: Enclosure, wall_rho: Floats, carrier_rho: Floats) -> Solver:
    exchange = room.exchange
    if isinstance(exchange, RoundExchange):
        walls, bands = room.wall_count // exchange.sectors, len(exchange.band_area)
        waves = np.fft.rfft(exchange.shared, axis=2).real.transpose(2, 0, 1) / exchange.band_area[:, None]
        pairs = list(zip(wall_rho.tolist(), carrier_rho.tolist(), strict=True))
        made = {}
        for pair in pairs:
            if pair not in made:
                rho = np.where(np.arange(bands) < walls, *pair)
                made[pair] = np.linalg.inv(np.eye(bands) - waves * rho)
        return Round(np.stack([made[pair] for pair in pairs]), exchange.sectors)
    on_wall = np.arange(len(exchange.area)) < room.wall_count
    return Plain(exchange, np.where(on_wall[:, None], wall_rho, carrier_rho))
