"""General MIDI percussion keys of the drum sounds the band uses.

Source: General MIDI System Level 1, percussion key map (channel 10, keys 35 to 81). Level 1
has no brushes: a light snare stands for the tap and a snare for the slap; nothing stands for the
sweep, whose key is that of Level 2's brush kit. Keys 33 and 34 (metronome) and the brush kit
belong to Level 2 only.
"""

from __future__ import annotations

PERCUSSION_KEYS = {
    "kick": 36,
    "side_stick": 37,
    "sticks": 37,
    "snare": 38,
    "brush_tap": 38,
    "brush_slap": 40,
    "hat_closed": 42,
    "hat_pedal": 44,
    "hat_open": 46,
    "ride": 51,
    "ride_bell": 53,
    "brush_sweep": 40,
    "click_high": 76,
    "click_low": 77,
}
"""GM1 key of every drum piece a :class:`porchswing.band.score.Hit` may name."""
