"""Scores out: MusicXML."""
