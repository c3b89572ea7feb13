"""Forms that change the display file, begin it, or ask for long work."""
