"""The terminal: how a command runs, keys, bars."""
