"""The display on the desk: its file, its plan, its pages and forms."""
