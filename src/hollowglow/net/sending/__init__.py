"""Sending: deadlines, sockets, and how every stream ends."""
