"""Courses: many charts in many keys, tempos and mixes, and what each tune adds."""
