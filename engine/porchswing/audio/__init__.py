"""audio."""
