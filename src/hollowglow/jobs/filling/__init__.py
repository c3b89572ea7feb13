"""What to put inside a kind."""
