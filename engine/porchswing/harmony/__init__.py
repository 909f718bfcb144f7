"""What chords do in their key, the swaps with their reasons, and the choice of a whole lane."""
