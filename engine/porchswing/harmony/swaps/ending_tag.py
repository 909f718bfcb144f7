"""The ending tag: the set piece that fills the last bars of a tune. Common practice."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from porchswing.harmony.passage.steps import (
    Offer,
    OfferedChord,
    Passage,
    at,
    chord,
    needs,
    offer,
)
from porchswing.harmony.swaps.formulas import cut
from porchswing.harmony.swaps.functions import free_step, is_tonic
from porchswing.harmony.swaps.swap_row import SwapRow
from porchswing.harmony.swaps.turnarounds import Piece, climbs, piece_of
from porchswing.theory.chords import Chord

TAG: tuple[Piece, ...] = (("1", "7"), ("4", "6"), ("#4", "dim7"))
"""What climbs from I to I over its fifth."""


def _tag(passage: Passage, index: int) -> Iterator[Offer]:
    """Fill the last four bars (or two) of a tune that ends on a held tonic."""
    step = free_step(passage, index)
    if step is None or step.chord is None or passage.exits != (None,):
        return
    if not is_tonic(step) or step.key.mode != "major":
        return
    window, end = passage.steps[index:], passage.steps[-1]
    bar = passage.span_at(step.start).pulses
    length = end.end - step.start
    degrees = [each.degree_in(step.key) for each in window if each.freedom != "kept"]
    plain = len(degrees) == len(window) and {*degrees} <= {0, 5, 7}
    if not plain or degrees[-1] != 0 or length not in (2 * bar, 4 * bar):
        return
    if passage.span_at(step.start).start != step.start or end.pulses < length // 4:
        return
    lengths = cut(passage, step.start, end.end, 7, front=True)
    if length == 2 * bar:
        piece = length // 8
        lengths = None if piece % passage.grid_pulses else [piece] * 6 + [2 * piece]
    if lengths is None:
        return
    key, home = step.key, replace(step.chord, bass=None)
    bass = Chord(home.root, home.quality, at(home.root, "5", key))
    five = chord(at(key.tonic, "5", key), "7")
    chords = [home, *(piece_of(key, piece) for piece in TAG), bass, five, home]
    afters = [needs([c.root.pc]) for c in chords[1:]] + [()]
    parts = [
        OfferedChord(new, pulses, (), after, climbs(new))
        for new, pulses, after in zip(chords, lengths, afters, strict=True)
    ]
    yield offer("ending tag", passage, index, len(passage.steps), parts)


ENDING_TAG: tuple[SwapRow, ...] = (
    SwapRow(
        "ending tag",
        2,
        when="the last four bars, or two, of a tune that ends on I and holds nothing but I, IV, V",
        effect="in Eb, Eb Ab Bb7 Eb becomes Eb Eb7 Ab Adim7 Eb/Bb Bb7 Eb",
        reason="The oldest goodbye in swing: up to the fifth in the bass, and home.",
        listen="the bass: fourth, raised fourth, fifth, and home",
        melody="no held note a semitone above a new tone",
        offers=_tag,
        preference=3.0,
        set_piece=True,
    ),
)
"""The tag of the last bars."""
