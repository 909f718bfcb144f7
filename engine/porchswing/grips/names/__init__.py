"""What a grip is called, and what is doubtful about it."""
