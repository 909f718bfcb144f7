"""How much of a tune lies outside a singer's range.

A singer may take the whole tune an octave or more lower or higher than written: common practice,
no source. Single notes are never moved.
"""

from __future__ import annotations

from collections.abc import Iterator

from porchswing.chart.language.melody_lane import note_of, read_range, write_range
from porchswing.chart.language.problems import TextError
from porchswing.chart.model import Chart, MelodyNote, Section, Singer
from porchswing.errors import OptionError, Problem

_OCTAVES = range(-120, 121, 12)


def singer_of(text: str) -> Singer:
    """Return the singer that an option gives.

    >>> singer_of("A3..D5")
    Singer(low=57, high=74)
    """
    try:
        return read_range(text)
    except TextError:
        raise OptionError(
            f"a singer's range is lowest..highest note, for example A3..D5, got {text!r}"
        ) from None


def notes_outside(singer: Singer, pitches: tuple[int, ...]) -> int:
    """Return how many notes lie outside a voice, in the octave where the fewest do.

    >>> notes_outside(Singer(57, 74), (76, 79, 81))
    0
    >>> notes_outside(Singer(57, 62), (60, 62, 74))
    1
    """
    return min(_outside(singer, pitches, shift) for shift in _OCTAVES)


def _outside(singer: Singer, pitches: tuple[int, ...], shift: int) -> int:
    return sum(not singer.low <= pitch + shift <= singer.high for pitch in pitches)


def sung_pitches(chart: Chart) -> tuple[int, ...]:
    """Return the MIDI note numbers of the melody lane, every section once."""
    return tuple(note.pitch for note in _sung(chart) if note.pitch is not None)


def _sung(chart: Chart) -> Iterator[MelodyNote]:
    return (n for each in chart.sections for bar in each.melody or () for n in bar)


def singing_doubts(chart: Chart) -> Iterator[Problem]:
    """Yield what does not fit together of melody, words and the singer's range."""
    for section in chart.sections:
        yield from _words_doubts(chart, section)
    if chart.singer is not None:
        yield from _range_doubts(chart, chart.singer)


def _words_doubts(chart: Chart, section: Section) -> Iterator[Problem]:
    for verse in section.words:
        for bar, notes in zip(verse, section.melody or (), strict=False):
            text = [each for each in bar if each.text]
            rests = not any(note.pitch is not None for note in notes)
            extra = len(text) - len({each.at for each in text})
            if not text or not (rests or extra):
                continue
            place, message, hint = text[0].place, "words are sung here, and the melody rests", ""
            if not rests:
                syllables = f"{len(text)} syllables, {extra} more"
                message = f"this bar has {syllables} than the melody has notes for"
                hint = "~ puts two words on one note: of~the"
            width = text[-1].place.column - place.column + text[-1].place.width
            yield Problem(chart.file, place.line, place.column, message, hint, width=width)


def _range_doubts(chart: Chart, singer: Singer) -> Iterator[Problem]:
    """Yield one doubt at the first note that the voice does not reach."""
    pitches = sung_pitches(chart)
    shift = min(_OCTAVES, key=lambda each: (_outside(singer, pitches, each), abs(each)))
    far = [
        note
        for note in _sung(chart)
        if note.pitch is not None and not singer.low <= note.pitch + shift <= singer.high
    ]
    if not far or far[0].pitch is None:
        return
    place, where = far[0].place, "below" if far[0].pitch + shift < singer.low else "above"
    octave = "" if not shift else ", also an octave or more away"
    count = "one note" if len(far) == 1 else f"{len(far)} notes"
    yield Problem(
        chart.file,
        place.line,
        place.column,
        f"{note_of(far[0].pitch)} lies {where} the range {write_range(singer)}{octave}: "
        f"{count} of {len(pitches)} cannot be sung",
        "porchswing grips --keys ranks the keys for this voice",
        width=max(1, place.width),
    )
