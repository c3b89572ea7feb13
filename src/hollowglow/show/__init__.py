"""What a show draws, what it may draw, and walks."""
