"""The band: what chords, bass, drums, line and count play, as written music."""
