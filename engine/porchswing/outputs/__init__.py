"""What is written, from what, and by whom."""
