"""The room Feed."""
