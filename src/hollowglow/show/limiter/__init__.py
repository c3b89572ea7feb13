"""The limiter: no frame leaves that would draw more than may flow. Certain bounds first, the whole solver last."""

from hollowglow.show.limiter.limit import Limited, Limiter

__all__ = ["Limited", "Limiter"]
