"""Drums and the count-in."""
