"""Grips with a given note on top: full, or thinned to three or two neighbouring strings."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from itertools import product

from porchswing.chart.model import Frets
from porchswing.grips.shapes.fingers import fingerings
from porchswing.grips.shapes.hand import Hand
from porchswing.grips.shapes.model import Grip, Tuning
from porchswing.grips.shapes.rules import tone_sets
from porchswing.theory.chords import Chord

MOST_STRINGS, FEWEST_STRINGS = 4, 2
"""Most and fewest strings of a grip under a tune."""

GUIDE_NUMBERS = (3, 4, 2, 6, 7)
"""Degrees that say what a chord is: third (or what is suspended for it), sixth, seventh."""

DOMINANT_TENSIONS = (1, 3, 8)
"""Semitones above a dominant's root that it bears beside the rule: flat and sharp nine, flat
thirteen."""

COLOURS = {"major": 11, "minor": 10}
"""The seventh that a chord without one bears as a colour, in semitones, by family."""


def is_tension(chord: Chord, pitch_class: int) -> bool:
    """Say whether a chord bears a note that is none of its own.

    A tension lies a whole tone above a chord tone and no semitone above one (the minor ninth to
    avoid: any jazz harmony textbook, "available tensions"); a dominant bears its altered ones.

    >>> from porchswing.theory.symbols import parse_chord
    >>> is_tension(parse_chord("Cmaj7"), 5), is_tension(parse_chord("G7"), 8)
    (False, True)
    """
    above = (pitch_class - chord.root.pc) % 12
    if chord.quality.family == "dominant" and above in DOMINANT_TENSIONS:
        return True
    if COLOURS.get(chord.quality.family) == above and len(chord.pcs) == 3:
        return True
    return (pitch_class - 2) % 12 in chord.pcs and (pitch_class - 1) % 12 not in chord.pcs


@lru_cache(maxsize=4096)
def top_grips(
    chord: Chord, pitch: int, tuning: Tuning, hand: Hand, *, closed: bool = False
) -> tuple[Grip, ...]:
    """Return every grip of a chord whose highest sounding note is ``pitch`` (MIDI number).

    A pitch that is neither a tone of the chord nor a tension has none.

    >>> from porchswing.grips.shapes.hand import CLOSED_HAND
    >>> from porchswing.grips.shapes.tunings import tuning
    >>> from porchswing.theory.symbols import parse_chord
    >>> grips = top_grips(parse_chord("C"), 72, tuning("gCEA"), CLOSED_HAND)
    >>> [str(grip) for grip in grips][:3]
    ['0003', '0403', '0433']
    """
    if pitch % 12 not in chord.pcs and not is_tension(chord, pitch % 12):
        return ()
    rows: set[Frets] = set()
    used = tuning.used
    runs = (
        used[first : first + count]
        for count in range(FEWEST_STRINGS, min(MOST_STRINGS, len(used)) + 1)
        for first in range(len(used) - count + 1)
    )
    for strings in runs:
        allowed = _allowed(chord, pitch % 12, len(strings))
        for frets in _fretted(chord, pitch, tuning, strings, hand, closed):
            held = dict(zip(strings, frets, strict=True))
            notes = (tuning.open_midi[index] + fret for index, fret in held.items())
            if frozenset(note % 12 for note in notes) in allowed:
                rows.add(tuple(held.get(index) for index in range(tuning.strings)))
    ordered = sorted(rows, key=lambda row: tuple(99 if fret is None else fret for fret in row))
    return tuple(Grip(row, tuning) for row in ordered if fingerings(row, hand.barre, hand.fingers))


@lru_cache(maxsize=4096)
def _allowed(chord: Chord, top: int, strings: int) -> frozenset[frozenset[int]]:
    """Return the sets of pitch classes that make the chord under a top note on so many strings."""
    if strings == FEWEST_STRINGS:
        guides = {
            (chord.root.pc + degree.semitones) % 12
            for degree in chord.quality.degrees
            if degree.number in GUIDE_NUMBERS
        } or set(chord.pcs)
        pairs = {frozenset((top, other)) for other in chord.pcs}
        return frozenset(pair for pair in pairs if len(pair) == 2 and pair & guides)
    sets = {tones for tones in tone_sets(chord, strings) if top in tones}
    sets |= {tones | {top} for tones in tone_sets(chord, strings - 1)}
    return frozenset(sets)


def _fretted(
    chord: Chord,
    pitch: int,
    tuning: Tuning,
    strings: tuple[int, ...],
    hand: Hand,
    closed: bool,
) -> Iterator[tuple[int, ...]]:
    """Yield the frets of some strings that put a pitch on top and chord tones under it."""
    high = min(hand.max_fret, tuning.frets)
    for carrier in strings:
        top = pitch - tuning.open_midi[carrier]
        if not closed <= top <= high:
            continue
        options = [
            [top]
            if index == carrier
            else [
                fret
                for fret in range(int(closed), high + 1)
                if tuning.open_midi[index] + fret <= pitch
                and (tuning.open_midi[index] + fret) % 12 in chord.pcs
                and (not fret or not top or abs(fret - top) <= hand.max_stretch)
            ]
            for index in strings
        ]
        yield from (frets for frets in product(*options) if _spread(frets) <= hand.max_stretch)


def _spread(frets: tuple[int, ...]) -> int:
    pressed = [fret for fret in frets if fret]
    return max(pressed) - min(pressed) if pressed else 0
