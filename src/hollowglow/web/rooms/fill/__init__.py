"""The room Fill."""
