"""The lesson: compare lanes, drill hard spots, plan the practice, and pack it all for a student."""
