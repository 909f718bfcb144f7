"""The plain chord sheet: a tune's chords on one page."""
