"""A plan as rows and as pictures."""
