"""Chord melody: the tune on the highest sounding string over its grips."""
