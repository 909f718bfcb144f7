"""The bench: the teacher's local page, where a lesson is heard, chosen and made."""
