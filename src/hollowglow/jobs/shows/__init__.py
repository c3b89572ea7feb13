"""Lights lit and shows heard."""
