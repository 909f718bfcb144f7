"""What the bench shows and sounds, as plain data made by pure functions of a text."""
