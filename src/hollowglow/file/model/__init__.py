"""The keys of a display file as frozen models, in SI."""
