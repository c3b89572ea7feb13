"""Commands about the file and its plan."""
