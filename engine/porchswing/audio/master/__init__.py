"""Loudness, peaks and the written files."""
