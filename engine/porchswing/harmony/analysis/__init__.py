"""Reading a lane: numerals, figures, doubts, and the swaps in words."""
