"""The keys of the kit against General MIDI's percussion map, as pretty_midi names it."""

from __future__ import annotations

import pytest

from porchswing.performance.perform import PERCUSSION_KEYS

NAMES = {
    "kick": "Bass Drum 1",
    "side_stick": "Side Stick",
    "sticks": "Side Stick",
    "snare": "Acoustic Snare",
    "brush_tap": "Acoustic Snare",  # Level 1 has no brushes
    "brush_slap": "Electric Snare",
    "brush_sweep": "Electric Snare",  # the key of Level 2's swirl, left out of Level 1's files
    "hat_closed": "Closed Hi Hat",
    "hat_pedal": "Pedal Hi Hat",
    "hat_open": "Open Hi Hat",
    "ride": "Ride Cymbal 1",
    "ride_bell": "Ride Bell",
    "click_high": "Hi Wood Block",
    "click_low": "Low Wood Block",
}


def test_every_piece_has_the_key_of_its_sound(need_module):
    need_module("pretty_midi")
    pretty_midi = pytest.importorskip("pretty_midi")
    named = {
        piece: pretty_midi.note_number_to_drum_name(key) for piece, key in PERCUSSION_KEYS.items()
    }
    assert named == NAMES
