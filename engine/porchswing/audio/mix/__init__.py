"""From strikes to a stereo mix in blocks."""
