"""One take: an arrangement performed, ready to be written as MIDI or audio."""
