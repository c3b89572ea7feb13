"""What chance makes of the parts: the random deviations of each sample, the same on every machine.

Every sample has a row of random numbers of its own: the counter-based generator Philox with seed and sample as its key. A
sample is therefore the same whichever others are computed with it. The generator's integers are turned into normal
deviates by the inverse of the normal distribution, since numpy promises its integers, but not its normal deviates, to
stay the same from version to version.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

from hollowglow.assembly import Assembly
from hollowglow.assembly.tables import Floats, Ints, of_string
from hollowglow.file.model.tolerances import Tolerances
from hollowglow.physics.copper import at_temperature

# Half the width that holds 95 % of a normal distribution, in standard deviations.
HALF_WIDTH = float(ndtri(0.975))
LEAST_FACTOR = 0.05
_GLOBAL, _SUPPLIES, _CABLES, _JOINTS, _NODES = range(5)
_JOINT_WORDS, _NODE_WORDS = 4, 2
_BLOCK = 4  # words of one step of the generator's counter

Words = NDArray[np.uint64]


@dataclass(frozen=True)
class SampledParts:
    """The deviations of several samples; the last axis counts the samples.

    Attributes:
        warmer_k: conductor temperature above the display's ambient, K, shape (D,).
        copper: conductor resistance over that at ambient, from the temperature alone, shape (D,).
        supply: voltage of each supply over its stated one, shape (S, D).
        cable: resistance of each piece of cable over its stated one, temperature left out, shape (C, D).
        joint_plus_ohm, joint_minus_ohm: contacts of each joint, ohm, shape (J, D).
        current: current of each node over its stated one, shape (N, D).
        flux: light of each node at equal current over its stated one, shape (N, D).
    """

    warmer_k: Floats
    copper: Floats
    supply: Floats
    cable: Floats
    joint_plus_ohm: Floats
    joint_minus_ohm: Floats
    current: Floats
    flux: Floats


def _words(seed: int, samples: Ints, group: int, first: int, count: int) -> Words:
    """Return words `first` to `first + count` of a group of random numbers for each sample, shape (samples, count)."""
    skip, lead = divmod(first, _BLOCK)
    made = np.empty((len(samples), count), dtype=np.uint64)
    for row, sample in enumerate(samples.tolist()):
        source = np.random.Philox(counter=[skip, 0, 0, group], key=[seed, sample])
        made[row] = source.random_raw(lead + count)[lead:]
    return made


def _uniform(words: Words) -> Floats:
    """Return numbers evenly spread between 0 and 1, neither of them included."""
    shares: Floats = ((words >> np.uint64(11)).astype(np.float64) + 0.5) * 2.0**-53
    return shares


def _normal(words: Words) -> Floats:
    deviates: Floats = np.ascontiguousarray(ndtri(_uniform(words)).T)
    return deviates


def _factor(words: Words, tolerance: float) -> Floats:
    """Return normal factors about 1, kept from falling to nothing, shape (items, samples)."""
    factors: Floats = np.maximum(1.0 + tolerance / HALF_WIDTH * _normal(words), LEAST_FACTOR)
    return factors


class Sampler:
    """Samples the parts of an Assembly, all of them or those of one string."""

    def __init__(self, assembly: Assembly, tolerances: Tolerances, seed: int) -> None:
        self.assembly = assembly
        self.tolerances = tolerances
        self.seed = seed

    def everything(self, samples: Ints) -> SampledParts:
        """Return the deviations of every part in the given samples (numbers from 0)."""
        assembly = self.assembly
        warmer, copper = self.temperature(samples)
        plus, minus = self.joints(samples, slice(0, len(assembly.joints.string)))
        current, flux = self.nodes(samples, slice(0, len(assembly.nodes.prop)))
        return SampledParts(
            warmer_k=warmer,
            copper=copper,
            supply=self.supplies(samples),
            cable=self.cables(samples, slice(0, len(assembly.cables.string))),
            joint_plus_ohm=plus,
            joint_minus_ohm=minus,
            current=current,
            flux=flux,
        )

    def temperature(self, samples: Ints) -> tuple[Floats, Floats]:
        """Return how much warmer the conductors are, K, and what that makes of their resistance, shape (D,)."""
        words = _words(self.seed, samples, _GLOBAL, 0, 1)
        warmer = self.tolerances.temperature / HALF_WIDTH * _normal(words)[0]
        ambient = self.assembly.display.ambient
        return warmer, at_temperature(1.0, ambient + warmer) / at_temperature(1.0, ambient)

    def supplies(self, samples: Ints) -> Floats:
        """Return the factor of each supply's voltage, shape (S, D)."""
        words = _words(self.seed, samples, _SUPPLIES, 0, len(self.assembly.supplies))
        return _factor(words, self.tolerances.supply_voltage)

    def cables(self, samples: Ints, rows: slice) -> Floats:
        """Return the factor of each piece of cable in a range of rows, shape (rows, D)."""
        if self.tolerances.cable_varies == "by the piece":
            words = _words(self.seed, samples, _CABLES, rows.start, rows.stop - rows.start)
            return _factor(words, self.tolerances.cable_resistance)
        reels = _factor(
            _words(self.seed, samples, _CABLES, 0, len(self.assembly.parts)), self.tolerances.cable_resistance
        )
        pieces: Floats = reels[self.assembly.cables.part[rows]]
        return pieces

    def joints(self, samples: Ints, rows: slice) -> tuple[Floats, Floats]:
        """Return both contacts of each joint in a range of rows, ohm, shape (rows, D)."""
        count = rows.stop - rows.start
        words = _words(self.seed, samples, _JOINTS, _JOINT_WORDS * rows.start, _JOINT_WORDS * count)
        stated = self.assembly.joints.ohm[rows][:, None]
        plus = self._contacts(words[:, 0::_JOINT_WORDS], words[:, 1::_JOINT_WORDS], stated)
        return plus, self._contacts(words[:, 2::_JOINT_WORDS], words[:, 3::_JOINT_WORDS], stated)

    def _contacts(self, spread: Words, fate: Words, stated_ohm: Floats) -> Floats:
        """Return contacts about their stated resistance, a share of which has aged to that of a bad joint or more."""
        own = self.tolerances
        factor = np.exp(np.log1p(own.joint_resistance) / HALF_WIDTH * _normal(spread))
        bad = own.bad_joints > _uniform(fate).T
        ohm: Floats = factor * np.where(bad, np.maximum(stated_ohm, own.bad_joint), stated_ohm)
        return ohm

    def nodes(self, samples: Ints, rows: slice) -> tuple[Floats, Floats]:
        """Return the factors of current and of light of each node in a range of rows, shape (rows, D)."""
        count = rows.stop - rows.start
        words = _words(self.seed, samples, _NODES, _NODE_WORDS * rows.start, _NODE_WORDS * count)
        own = self.tolerances
        return _factor(words[:, 0::2], own.light_current), _factor(words[:, 1::2], own.light_flux)


def string_rows(assembly: Assembly, string: int) -> tuple[slice, slice, slice]:
    """Return where a string's joints, cables and nodes lie in their tables."""
    nodes = slice(int(assembly.strings.first_node[string]), int(assembly.strings.first_node[string + 1]))
    return of_string(assembly.joints.string, string), of_string(assembly.cables.string, string), nodes
