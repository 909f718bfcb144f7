"""Commands about one tune."""
