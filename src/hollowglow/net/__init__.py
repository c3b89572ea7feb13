"""Light over the open standard: packets as bytes, and the thread that sends them on time."""

from strandwright.live.sender import Limit, Say, Sender, Statistics

__all__ = ["Limit", "Say", "Sender", "Statistics"]
