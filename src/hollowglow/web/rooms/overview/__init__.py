"""The room Overview."""
