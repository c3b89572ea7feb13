"""The first lines of a display, and what to choose from."""
