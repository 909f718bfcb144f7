"""A set list as a page for the stand: a tune at a time, stepped through by key, pedal or touch."""
