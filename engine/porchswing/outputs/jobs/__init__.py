"""Jobs that make files: run anywhere, their files put in place by one process alone."""
