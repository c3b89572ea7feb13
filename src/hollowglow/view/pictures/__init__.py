"""From a plan to its pictures."""
