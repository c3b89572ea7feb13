"""A plan as rows of plain values."""
