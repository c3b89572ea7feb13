"""The limiter: certain bounds first, the whole solver last."""
