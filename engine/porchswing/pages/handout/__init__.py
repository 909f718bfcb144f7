"""The handout: one or two printed pages with both lanes, grips, the line and a practice plan."""
