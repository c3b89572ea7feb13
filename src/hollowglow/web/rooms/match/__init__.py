"""The room Match."""
