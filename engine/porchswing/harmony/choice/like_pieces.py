"""Pieces of a tune that are alike, so that the cells of a repeated phrase are found once.

A piece is compared with all its times counted from its own start, and with every place in
the form that a swap may look at: the bars' lengths, where phrases begin, what may come before
and after, and the melody.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable
from itertools import takewhile

from porchswing.harmony.passage.steps import Passage, Step

PHRASE_BARS = 4
"""Bars are counted from the section's start, and by their place in a phrase."""


def at_zero(piece: Passage) -> Hashable:
    """Return what distinguishes pieces of one passage, wherever they are in it."""
    start, end = piece.steps[0].start, piece.steps[-1].end
    first, last = piece.span_at(start), piece.span_at(end - 1)
    spans = piece.spans[piece.spans.index(first) : piece.spans.index(last) + 1]
    sounding = takewhile(lambda tune: tune.start < end, piece.melody[piece.notes_from(start) :])
    return (
        later_steps(piece.steps, -start),
        tuple(way and way._replace(start=0) for way in piece.entries),
        tuple(way and way._replace(start=0) for way in piece.exits),
        piece.weights,
        piece.owners,
        tuple(
            (span.start - start, span.pulses, span.bar_index % PHRASE_BARS, not span.bar_index)
            for span in spans
        ),
        tuple((tune.start - start, tune.pulses, tune.note.pitch) for tune in sounding),
        later_steps((s for s in piece.beneath if s.end > start and s.start < end), -start),
    )


def later_steps(steps: Iterable[Step], by: int) -> tuple[Step, ...]:
    """Return steps, and the swaps done in them, so many pulses later."""
    return tuple(
        step._replace(
            start=step.start + by,
            deeds=tuple(
                deed._replace(start=deed.start + by, stop=deed.stop + by) for deed in step.deeds
            ),
        )
        for step in steps
    )
