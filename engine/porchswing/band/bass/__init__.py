"""The bass part."""
