"""Sheets of labels and their codes."""
