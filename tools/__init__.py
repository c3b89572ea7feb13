"""Makes the generated documents; python -m tools.docs writes them."""
