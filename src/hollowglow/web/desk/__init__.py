"""The display on the desk: its file, its plan, its photographs, and the long work that was asked for."""
