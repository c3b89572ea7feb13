"""Pictures of strings and supplies."""
