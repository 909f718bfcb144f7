"""Rhythm: swing as a time warp, the tempo map, and patterns as data."""
