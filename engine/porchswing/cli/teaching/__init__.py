"""Commands that make teaching material."""
