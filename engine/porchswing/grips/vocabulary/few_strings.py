"""A tune on three strings: the first way into a room where others play whole grips.

Three neighbouring strings of the grips that come next, held by the same fingers, so that nothing
is learned twice. Which three is settled once for the tune, so that the strum stays where it is:
those on which most chords sound what names them (the third or the suspended tone, and the seventh
or the sixth), then those that take the fewest fingers. A chord they do not name takes its own
three. Ours: a teacher's way, no source.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from porchswing.grips.shapes.model import Grip, VoicedSlot, Voicing
from porchswing.grips.shapes.rules import tone_rule
from porchswing.theory.chords import Chord

STRINGS = 3
"""Strings that are played."""

_NAMING = (2, 3, 4, 6, 7)
"""Degrees that tell a chord from others on its root."""

_Block = tuple[int, int]
"""Tuple indices of the first and the last string of three."""


def on_few_strings(voicing: Voicing) -> Voicing:
    r"""Return a voicing with three strings of every grip.

    >>> from porchswing.chart.language.reader import parse_chart
    >>> from porchswing.grips.search.voice import voice
    >>> chart = parse_chart("[A]\n| C | F | G7 | C |\n")
    >>> [str(slot.grip) for slot in on_few_strings(voice(chart, lane="plain")).slots]
    ['x003', 'x010', 'x212', 'x003']
    """
    used = voicing.tuning.used
    blocks = [(used[at], used[at + STRINGS - 1]) for at in range(len(used) - STRINGS + 1)]
    gripped = [slot for slot in voicing.slots if slot.grip is not None]
    usual = min(blocks or [(0, len(used) - 1)], key=lambda block: _score(gripped, block))
    return replace(voicing, slots=tuple(_thinned(slot, usual, blocks) for slot in voicing.slots))


def _score(slots: Iterable[VoicedSlot], block: _Block) -> tuple[int, int]:
    """Return how many chords a block does not name, and how many fingers it takes in all."""
    cut = [(slot, _cut(slot.grip, block)) for slot in slots if slot.grip is not None]
    unnamed = sum(not _names(grip, slot.chord) for slot, grip in cut)
    return unnamed, sum(len({*grip.fingers} - {0}) for _, grip in cut)


def _thinned(slot: VoicedSlot, usual: _Block, blocks: list[_Block]) -> VoicedSlot:
    if slot.grip is None:
        return slot
    cuts = [_cut(slot.grip, block) for block in (usual, *blocks)]
    named = (grip for grip in cuts if _names(grip, slot.chord))
    return replace(slot, grip=next(named, cuts[0]))


def _cut(grip: Grip, block: _Block) -> Grip:
    """Return the strings of a block, under the same fingers."""
    first, last = block
    frets = tuple(fret if first <= index <= last else None for index, fret in enumerate(grip.frets))
    presses = tuple(
        replace(press, first=max(press.first, first), last=min(press.last, last))
        for press in grip.held.presses
        if press.first <= last and press.last >= first
    )
    return Grip(frets, grip.tuning, replace(grip.held, presses=presses) if presses else None)


def _names(grip: Grip, chord: Chord | None) -> bool:
    """Whether a grip sounds what names its chord."""
    if chord is None:
        return True
    sounding = {midi % 12 for midi in grip.midi if midi is not None}
    naming = [d for d in tone_rule(chord.quality).needed if d.number in _NAMING]
    return all((chord.root.pc + degree.semitones) % 12 in sounding for degree in naming)
