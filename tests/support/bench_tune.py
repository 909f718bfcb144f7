"""A tune for the bench's tests: one section without a swing lane, one with."""

TUNE = """# two rooms
title:  Two Rooms
key:    F
tempo:  120

[A]
| F Dm | Gm C7 | F D7 | Gm C7 |

[B]
plain | Bb | F | C7 | F |
swing | Bb6 | F6 | C9{slide} | F6 |
"""
