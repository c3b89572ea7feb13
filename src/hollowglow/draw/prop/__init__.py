"""Pictures of one prop."""
