"""Light over the open standard: packets as bytes, and the thread that sends them on time."""

from hollowglow.net.sending.sender import Limit, Say, Sender, SenderStatistics

__all__ = ["Limit", "Say", "Sender", "SenderStatistics"]
