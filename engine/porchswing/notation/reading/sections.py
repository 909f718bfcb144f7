"""Making chart bars and sections of measures: chords on the beat, melody filling the bar."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import chain, count

from porchswing.chart.language.melody_lane import pitch_name
from porchswing.chart.language.repeats import check_repeats
from porchswing.chart.language.values import write_fraction
from porchswing.chart.limits import MAX_BAR_NOTES, MAX_REPEATS
from porchswing.chart.model import Bar, MelodyNote, Meter, Section, Slot, Verse
from porchswing.notation.reading.lyrics import cut, verses_in_turn
from porchswing.notation.reading.score_facts import HeardNote, Measure, Remarks
from porchswing.theory.chords import Chord

Events = list[tuple[Fraction, Chord | None]]


def chart_bars(measures: Sequence[Measure], meter: Meter, remarks: Remarks) -> list[Bar]:
    """Return a chord lane; a measure without a chord goes on with the one before."""
    bars: list[Bar] = []
    held: Chord | None = None
    for measure in measures:
        events = _on_the_beat(measure, meter, remarks)
        goes_on = not events and bars and len(bars[-1].slots) == 1
        if not events or events[0][0] > 0:
            events.insert(0, (Fraction(0), held))
        ends = [start for start, _ in events[1:]] + [meter.bar_beats]
        slots: list[Slot] = []
        marks = dict(measure.marks)
        for (start, chord), end in zip(events, ends, strict=True):
            own = marks.get(start, ())
            if slots and slots[-1].chord == chord and not own and not slots[-1].marks:
                slots[-1] = replace(slots[-1], beats=slots[-1].beats + end - start)
            else:
                slots.append(Slot(chord, end - start, marks=own))
        held = slots[-1].chord
        bars.append(
            Bar(
                tuple(slots),
                repeat_start=measure.repeat_start,
                repeat_times=min(MAX_REPEATS, measure.repeat_times),
                ending=measure.ending,
                is_percent=bool(goes_on) and bars[-1].slots == tuple(slots),
                barline="||" if measure.is_double else "|",
            )
        )
    return bars


def _on_the_beat(measure: Measure, meter: Meter, remarks: Remarks) -> Events:
    """Return a measure's chords moved to beats of the meter, one a beat."""
    if measure.beats != meter.bar_beats:
        remarks.add(f"a measure of {measure.beats} beats, cut or filled to a bar of {meter}")
    unit = meter.unit_beats
    found: dict[Fraction, Chord | None] = {}
    for start, chord in measure.chords:
        beat = round(start / unit) * unit
        if beat != start:
            remarks.add("a chord off the beat was moved to the nearest beat")
        if beat >= meter.bar_beats:
            beat = meter.bar_beats - unit
        if beat in found and found[beat] != chord:
            remarks.add("of two chords on one beat the later one was taken")
        found[max(Fraction(0), beat)] = chord
    return sorted(found.items())


def melody_bars(
    measures: Sequence[Sequence[HeardNote]], meter: Meter
) -> list[tuple[MelodyNote, ...]] | None:
    """Return the melody lane, ``None`` where no note sounds."""
    bars = [tuple(_melody_note(note, meter) for note in bar) for bar in measures]
    return bars if _sounds(bars) else None


def filled_bar(notes: list[HeardNote], meter: Meter, remarks: Remarks) -> tuple[HeardNote, ...]:
    """Return one bar of melody: gaps become rests, overlaps are cut, ties inside are joined."""
    filled: list[HeardNote] = []
    at = Fraction(0)
    for note in sorted(notes, key=lambda n: n.start):
        start = max(at, note.start)
        end = min(meter.bar_beats, note.start + note.beats)
        if end <= start:
            if note.beats > 0 and note.pitch is not None:
                remarks.add("a note beyond its bar or below another")
            continue
        if start > at:
            filled.append(HeardNote(at, start - at))
        last = filled[-1] if filled else None
        alike = last and (last.pitch, last.is_spoken) == (note.pitch, note.is_spoken)
        if note.tied_before and last and alike and start == at:
            filled[-1] = replace(last, beats=last.beats + end - start)
        else:
            if note.tied_before and note.pitch is not None:
                remarks.add("a tie over a bar line: the note is struck again")
            filled.append(replace(note, start=start, beats=end - start))
        at = end
    if at < meter.bar_beats:
        filled.append(HeardNote(at, meter.bar_beats - at))
    if len(filled) > MAX_BAR_NOTES:
        remarks.add(f"a bar of melody with more than {MAX_BAR_NOTES} notes")
        filled = [HeardNote(Fraction(0), meter.bar_beats)]
    return tuple(filled)


def _melody_note(note: HeardNote, meter: Meter) -> MelodyNote:
    if note.pitch is None or note.name is None or abs(note.name.alter) > 1:
        return MelodyNote(note.pitch, note.beats)
    length = write_fraction(note.beats / meter.unit_beats)
    return MelodyNote(note.pitch, note.beats, f"{pitch_name(note.pitch, note.name)}:{length}")


def chart_sections(
    marks: Sequence[str],
    plain: Sequence[Bar],
    swing: Sequence[Bar] | None,
    melody: Sequence[tuple[MelodyNote, ...]] | None,
    verses: Sequence[Verse],
    remarks: Remarks,
) -> tuple[tuple[Section, ...], tuple[str, ...]]:
    """Return sections opened by rehearsal marks, and the form they are played in.

    A mark that comes back over the same bars is the same section again, sung to its next verse.
    """
    sung: dict[str, list[tuple[Verse, ...]]] = {}
    starts = [0, *(index for index, mark in enumerate(marks) if mark and index > 0)]
    sections: list[Section] = []
    form: list[str] = []
    for start, end in zip(starts, [*starts[1:], len(plain)], strict=True):
        name = _section_name(marks[start], len(sections))
        made = Section(
            name,
            _repeats_inside(plain[start:end], remarks),
            None if swing is None else _repeats_inside(swing[start:end], remarks),
            tuple(melody[start:end]) if melody and _sounds(melody[start:end]) else None,
        )
        words = cut(verses, start, end)
        same = next(
            (
                each
                for each in sections
                if replace(each, name=name) == made
                and _base(each.name) == name
                and verses_in_turn([*sung[each.name], words]) is not None
            ),
            None,
        )
        if same is None:
            names = chain([name], (f"{name}-{number}" for number in count(2)))
            taken = {section.name for section in sections}
            made = replace(made, name=next(each for each in names if each not in taken))
            sections.append(made)
        form.append((same or made).name)
        sung.setdefault(form[-1], []).append(words)
    whole = tuple(replace(s, words=verses_in_turn(sung[s.name]) or ()) for s in sections)
    return whole, () if form == [s.name for s in sections] else tuple(form)


def _sounds(bars: Sequence[tuple[MelodyNote, ...]]) -> bool:
    """Whether a melody does not only rest."""
    return any(note.pitch is not None for bar in bars for note in bar)


def _base(name: str) -> str:
    """Return a section's name without the number that distinguishes it from its namesakes."""
    head, dash, tail = name.rpartition("-")
    return head if dash and tail.isdigit() else name


def _section_name(mark: str, count: int) -> str:
    """Return a rehearsal mark as one word that a form may name."""
    word = "".join(c if c.isalnum() else "-" for c in mark.strip())[:40].strip("-")
    if not word or (word[0] == "x" and word[1:].isdigit()):
        return "ABCDEFGHIJKLMNOPQRSTUVWXYZ"[count] if count < 26 else f"Part-{count + 1}"
    return word


def _repeats_inside(bars: Sequence[Bar], remarks: Remarks) -> tuple[Bar, ...]:
    """Return bars whose repeats close, or without any repeats where they do not."""
    own = (replace(bars[0], is_percent=False), *bars[1:])
    if not check_repeats(own):
        return own
    remarks.add("repeats that do not close inside a section")
    return tuple(replace(bar, repeat_start=False, repeat_times=0, ending=None) for bar in own)
