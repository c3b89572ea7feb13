"""Hearing: sources, whole frames, captures."""
