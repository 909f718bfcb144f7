"""A passage of the lane as steps, the keys it moves through, and the melody over it."""
