"""Holes in shells and carriers: where, how wide, with which drill."""
