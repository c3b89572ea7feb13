"""A plan written out."""
