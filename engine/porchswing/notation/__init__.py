"""notation."""
