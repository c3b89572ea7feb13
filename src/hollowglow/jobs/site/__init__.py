"""Places as a person sets them."""
