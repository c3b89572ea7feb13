"""The room Place."""
