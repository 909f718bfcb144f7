"""The chord part: what the right and the left hand do."""
