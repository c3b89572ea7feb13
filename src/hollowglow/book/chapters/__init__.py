"""The chapters of the book as plain data and pictures."""
