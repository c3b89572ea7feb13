"""The cheapest way that is found to make failures, which come by Poisson's law, outrun the spares too seldom to matter."""

from __future__ import annotations

import heapq
import math
from collections.abc import Sequence

import numpy as np
from scipy.special import pdtr

from hollowglow.assembly.tables import Floats, Ints


def chance_of(spares: Ints, expected: Floats) -> Floats:
    """Return the chance that no more of each part fail than there are spares, shape (n,).

    Args:
        spares: how many are kept, shape (n,).
        expected: how many fail in a season on average, shape (n,).

    Source: Poisson distribution, S. D. Poisson, Recherches sur la probabilité des jugements (1837); it is the limit of
    the binomial one for many parts that seldom fail, and a little on the safe side for few.
    """
    held: Floats = np.asarray(pdtr(spares, expected), dtype=np.float64)
    return held


def choose(expected: Floats, price: Sequence[float], chance: float) -> Ints:
    """Return how many spares of each part make the chance that none runs out at least `chance`, shape (n,).

    Spares are added one by one, that which raises the logarithm of the chance most for its price first. Because the
    Poisson distribution is log-concave, no other choice reaches the same chance or more for less, except by less than
    the price of the last spare (marginal analysis: B. Fox, Management Science 13 (1966) 210). A spare that is not
    needed any more is left out at the end.

    Args:
        expected: failures of each part in a season on average, at least 0, shape (n,).
        price: what a spare costs, above 0, shape (n,).
        chance: above 0 and below 1.
    """
    kept = np.zeros(len(expected), dtype=np.int64)

    def gain(row: int) -> float:
        now, then = pdtr([kept[row], kept[row] + 1.0], expected[row]).tolist()
        return math.log(then / now) / price[row] if now > 0.0 else math.inf

    heap = [(-gain(row), row) for row in range(len(expected)) if expected[row] > 0.0]
    heapq.heapify(heap)
    target = math.log(chance)
    order: list[int] = []
    while heap and _log_chance(kept, expected) < target:
        _, row = heapq.heappop(heap)
        kept[row] += 1
        order.append(row)
        heapq.heappush(heap, (-gain(row), row))
    for row in sorted(set(order), key=lambda r: -price[r]):
        kept[row] -= 1
        if _log_chance(kept, expected) < target:
            kept[row] += 1
    return kept


def _log_chance(kept: Ints, expected: Floats) -> float:
    held = chance_of(kept, expected)
    return float(np.log(held).sum()) if (held > 0.0).all() else -math.inf
