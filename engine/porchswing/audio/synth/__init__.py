"""Single sounds: plucked strings and the kit."""
