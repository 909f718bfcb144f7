"""midi."""
