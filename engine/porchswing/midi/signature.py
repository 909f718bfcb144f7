"""Key signatures as a MIDI file names them."""

from __future__ import annotations

from porchswing.theory.keys import Key


def key_signature(text: str) -> str:
    """Return the name of a key signature, such as ``Bb`` or ``F#m``; at most seven signs.

    >>> key_signature("G minor")
    'Gm'
    """
    key = Key.parse(text)
    return f"{key.tonic}{'m' if key.mode == 'minor' else ''}"
