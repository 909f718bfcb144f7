"""Work on several cores, and memory."""
