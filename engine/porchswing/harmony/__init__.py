"""harmony."""
