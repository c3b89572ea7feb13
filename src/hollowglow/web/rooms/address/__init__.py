"""The room Address."""
