"""The room Test."""
