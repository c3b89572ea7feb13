"""The limiter: no frame leaves that would draw more than may flow. Certain bounds first, the whole solver last."""

from hollowglow.show.limiter.limit import LimitedFrame, Limiter

__all__ = ["LimitedFrame", "Limiter"]
