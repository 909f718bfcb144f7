"""lesson."""
