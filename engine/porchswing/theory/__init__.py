"""Spelled notes, chords and keys: the vocabulary every later stage shares."""
