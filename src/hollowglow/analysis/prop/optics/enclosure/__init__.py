"""The shell and what stands in it as patches that see each other."""
