"""Packets of ANSI E1.31-2018 as bytes."""
