"""Answers laid out on the terminal."""
