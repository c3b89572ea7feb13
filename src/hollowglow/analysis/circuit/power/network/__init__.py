"""The network as equations, and its steady state."""
