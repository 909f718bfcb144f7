"""The chart language: reading it and writing it back."""
