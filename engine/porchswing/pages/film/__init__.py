"""A tune as pictures for a film: what is held, what comes next, and the strum, frame by frame."""
