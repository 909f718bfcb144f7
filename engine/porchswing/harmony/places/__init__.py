"""What one place of a tune could be, seen in the lane that is played there."""
