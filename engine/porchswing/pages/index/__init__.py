"""The index pages of a lesson and of a course: what is in the folder, and in what order."""
