"""course."""
