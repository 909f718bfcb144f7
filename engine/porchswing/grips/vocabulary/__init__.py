"""The shapes of a tune: named, counted, met before or new, and how few of them would do."""
