"""Choosing the swing lane: cells, their scores, the best way through the form."""
