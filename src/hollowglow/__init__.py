"""Hollowglow: an engineering workbench for builders of outdoor light displays."""

__version__ = "0.2.0"
