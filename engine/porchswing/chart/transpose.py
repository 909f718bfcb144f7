"""Moving a chart to another key, every function and spelling kept."""

from __future__ import annotations

from dataclasses import dataclass, replace

from porchswing.chart.language.melody_lane import pitch_name
from porchswing.chart.language.numerals import looks_numbered
from porchswing.chart.limits import MAX_FRET
from porchswing.chart.model import Bar, Chart, Frets, MelodyNote, Section, Settings, Slot
from porchswing.errors import OptionError, check_types
from porchswing.theory.chords import Chord
from porchswing.theory.keys import Key, degree_between, simplified
from porchswing.theory.notes import NoteName, note_at

HIGHEST_LOCK = 15
"""Highest fret a locked grip may be moved to; higher ones move down an octave or are dropped."""


def transpose(chart: Chart, key: Key | str) -> Chart:
    r"""Return a chart in another key; its mode stays, so only the tonic of ``key`` counts.

    Roots, basses and melody notes keep their function and their spelling; where that would
    need a double sign they are respelled. Locked grips without open strings and fret windows
    move along the neck; a lock that cannot move is dropped, for it would sound another chord.

    Parameters
    ----------
    chart
        The chart; it stays as it is.
    key
        A key, or its text as charts write it: ``Bb``, ``G minor``.

    Returns
    -------
    Chart
        The chart in the new key, or the same one where it is in that key already.

    Raises
    ------
    OptionError
        Where ``key`` cannot be read, or is minor and the chart is in a major key.

    Examples
    --------
    >>> from porchswing.chart.language.reader import parse_chart
    >>> chart = transpose(parse_chart("key: F\n[A]\n| F Dm7 | Gm7 C7 |"), "Bb")
    >>> [slot.chord.symbol for bar in chart.sections[0].plain for slot in bar.slots]
    ['Bb', 'Gm7', 'Cm7', 'F7']
    """
    check_types(chart=(chart, Chart), key=(key, Key, str))
    if isinstance(key, str):
        key = Key.parse(key)
    if key.mode == "minor" and chart.key.mode == "major":
        raise OptionError(f"{chart.title} is in {chart.key} major and keeps its mode, got {key}")
    goal = Key(key.tonic, chart.key.mode).simple
    if goal == chart.key:
        return chart
    shift = _Shift(chart.key, goal)
    return replace(
        chart,
        key=goal,
        sections=tuple(shift.section(section, chart.numbers) for section in chart.sections),
        settings=shift.settings(chart.settings),
    )


@dataclass(frozen=True, slots=True)
class _Shift:
    """The move from one key to another."""

    start: Key
    goal: Key

    @property
    def semitones(self) -> int:
        """The nearer way: from five down to six up."""
        return (self.goal.tonic.pc - self.start.tonic.pc + 5) % 12 - 5

    def note(self, note: NoteName) -> NoteName:
        return simplified(note_at(self.goal.tonic, degree_between(self.start.tonic, note)))

    def chord(self, chord: Chord) -> Chord:
        root = self.note(chord.root)
        if chord.bass is None:
            return replace(chord, root=root)
        bass = simplified(note_at(root, degree_between(chord.root, chord.bass)))
        return replace(chord, root=root, bass=bass if bass != root else None)

    def slot(self, slot: Slot, numbers: bool) -> Slot:
        stays = slot.chord is None or (numbers and looks_numbered(slot.written))
        lock = self.lock(slot.lock) if slot.lock else None
        return replace(
            slot,
            chord=self.chord(slot.chord) if slot.chord else None,
            lock=lock,
            fingers=slot.fingers if lock else (),
            written=slot.written if stays else "",
        )

    def lock(self, frets: Frets) -> Frets | None:
        """Move a closed grip along the neck, by an octave where it would leave it."""
        if 0 in frets:
            return None
        stopped = [fret for fret in frets if fret is not None]
        for semitones in (self.semitones, self.semitones + 12, self.semitones - 12):
            if min(stopped) + semitones >= 1 and max(stopped) + semitones <= HIGHEST_LOCK:
                return tuple(None if fret is None else fret + semitones for fret in frets)
        return None

    def bars(self, bars: tuple[Bar, ...], numbers: bool) -> tuple[Bar, ...]:
        return tuple(
            replace(bar, slots=tuple(self.slot(slot, numbers) for slot in bar.slots))
            for bar in bars
        )

    def melody_note(self, note: MelodyNote) -> MelodyNote:
        if note.pitch is None:
            return note
        pitch = note.pitch + self.semitones
        pitch += 12 if pitch < 0 else -12 if pitch > 127 else 0
        name, _, length = note.written.partition(":")
        spelled = NoteName.parse(name.rstrip("-0123456789")) if length else None
        if spelled is None or spelled.pc != note.pitch % 12:
            return replace(note, pitch=pitch, written="")
        return replace(
            note, pitch=pitch, written=f"{pitch_name(pitch, self.note(spelled))}:{length}"
        )

    def settings(self, settings: Settings) -> Settings:
        if settings.frets is None:
            return settings
        low, high = (fret + self.semitones for fret in settings.frets)
        if low < 0 or high > MAX_FRET:
            up = 12 if low < 0 else -12
            low, high = max(0, low + up), min(MAX_FRET, high + up)
        return replace(settings, frets=(low, high))

    def section(self, section: Section, numbers: bool) -> Section:
        swing, melody = section.swing, section.melody
        return replace(
            section,
            plain=self.bars(section.plain, numbers),
            swing=swing and self.bars(swing, numbers),
            melody=melody and tuple(tuple(map(self.melody_note, bar)) for bar in melody),
            settings=tuple((at, self.settings(said)) for at, said in section.settings),
        )
