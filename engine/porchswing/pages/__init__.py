"""What is read and played from: practice page, handout, chord sheet, index, cues."""
