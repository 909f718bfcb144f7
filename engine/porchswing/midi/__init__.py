"""MIDI: performances as Standard MIDI Files."""
