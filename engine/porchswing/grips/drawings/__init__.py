"""Grips shown: diagrams, lines of strings, moves, text and SVG."""
