"""Charts as MusicXML 4.0 (W3C Community Group Report): both lanes, grips, strums, the line.

One chorus is written out bar by bar as it is played, so that any notation program shows and
plays the form. A lane is a part of slashes: its chord symbols carry fret diagrams, its slashes
the strum as the hand plays it, unswung; ``<swing>`` says how it is felt. The line of one string
and the melody are parts of notes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from math import lcm
from xml.etree.ElementTree import (
    Element,
    SubElement,
    indent,
    tostring,
)

from porchswing import __version__
from porchswing.band.score import PartScore, Score, Stroke
from porchswing.chart.model import Chart, Slot
from porchswing.chart.roadmap import PlayedBar, Roadmap
from porchswing.chart.unroll import unroll
from porchswing.errors import OptionError
from porchswing.grips.model import VoicedSlot, Voicing
from porchswing.grips.spelling import spelled
from porchswing.notation.harmonies import harmony_element
from porchswing.notation.notes import Accidentals, Item, as_values, cut_at_bars, note_element
from porchswing.notation.xml import text_child
from porchswing.rhythm.tempo import TempoMap
from porchswing.theory.keys import Key
from porchswing.theory.notes import NoteName

DOCTYPE = (
    '<?xml version="1.0" encoding="UTF-8" standalone="no"?>\n'
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
    '"http://www.musicxml.org/dtds/partwise.dtd">\n'
)
_NYLON_GUITAR = 25
_STROKE_GRID = Fraction(1, 2)
_SWING_LIMIT = 12


@dataclass(frozen=True, slots=True)
class NotatedLane:
    """One lane to be written: its bars, and where there are any its grips and its score.

    ``roadmap`` is one chorus of the lane. The score's ``chords`` part gives the strum and its
    tempo map tempo and swing; without a score every beat is one slash.
    """

    name: str
    roadmap: Roadmap
    voicing: Voicing | None = None
    score: Score | None = None


@dataclass(slots=True)
class _Part:
    """A part being written: a measure's items, the chords over it, and words above it."""

    id: str
    name: str
    is_slashes: bool
    measures: list[list[Item]]
    chords: list[list[tuple[Fraction, Slot, VoicedSlot | None]]] = field(default_factory=list)
    tempo_map: TempoMap | None = None
    is_plucked: bool = True


def score_musicxml(
    chart: Chart, lanes: Sequence[NotatedLane], *, line_string: int | None = None
) -> str:
    """Return a chart as a MusicXML score.

    Parameters
    ----------
    chart
        Title, key and melody come from it.
    lanes
        The lanes to write, all of the same bars; the first gives tempo, swing and the line.
    line_string
        The string whose line is written as a part of notes; 1 is nearest the floor.

    Raises
    ------
    OptionError
        Where there is no lane, or the string or its grips are missing.
    """
    if not lanes:
        raise OptionError("a score needs at least one lane")
    parts = [_lane_part(f"P{index}", lane) for index, lane in enumerate(lanes, start=1)]
    if line_string is not None:
        parts.append(_line_part(f"P{len(parts) + 1}", lanes[0], line_string, chart.key))
    if any(bar.melody for bar in lanes[0].roadmap.bars):
        parts.append(_melody_part(f"P{len(parts) + 1}", lanes[0].roadmap, chart.key))
    return _document(chart, lanes[0].roadmap, parts)


def line_musicxml(chart: Chart, voicing: Voicing, string: int, lane: str = "swing") -> str:
    """Return the line of one string as MusicXML, chord symbols above, fret numbers below.

    Raises
    ------
    OptionError
        Where the tuning has no such string.
    """
    roadmap = unroll(chart, lane)
    part = _line_part("P1", NotatedLane(lane, roadmap, voicing), string, chart.key, frets=True)
    part.chords = [_chords_over(bar, voicing) for bar in roadmap.bars]
    return _document(chart, roadmap, [part])


def _lane_part(id_: str, lane: NotatedLane) -> _Part:
    bars = lane.roadmap.bars
    strum = next((p for p in lane.score.parts if p.name == "chords"), None) if lane.score else None
    items = _slashes(lane.roadmap) if strum is None else _strummed(strum, lane.roadmap.beats)
    return _Part(
        id_,
        f"Ukulele ({lane.name} lane)",
        True,
        cut_at_bars(items, [bar.beats for bar in bars]),
        [_chords_over(bar, lane.voicing) for bar in bars],
        lane.score.tempo_map if lane.score else None,
    )


def _chords_over(
    bar: PlayedBar, voicing: Voicing | None
) -> list[tuple[Fraction, Slot, VoicedSlot | None]]:
    """Return the slots of a bar with the beat each enters at and the grip chosen for it."""
    voiced = {slot.slot: slot for slot in voicing.voiced(bar)} if voicing else {}
    start = Fraction(0)
    found: list[tuple[Fraction, Slot, VoicedSlot | None]] = []
    for index, slot in enumerate(bar.slots):
        found.append((start, slot, voiced.get(index)))
        start += slot.beats
    return found


def _slashes(roadmap: Roadmap) -> list[Item]:
    """Return a slash a beat, rests under N.C."""
    unit = Fraction(3, 2) if roadmap.meter.is_compound else roadmap.meter.unit_beats
    items: list[Item] = []
    for bar in roadmap.bars:
        for slot in bar.slots:
            if slot.chord is None:
                items.append(Item(slot.beats))
                continue
            left = slot.beats
            while left > 0:
                items.append(Item(min(unit, left), "slash"))
                left -= unit
    return items


def _strummed(part: PartScore, end: Fraction) -> list[Item]:
    """Return the strokes of a part as slashes and rests, each up to the grid or the next."""
    strokes = [e for e in part.events if isinstance(e, Stroke) and 0 <= e.onset_beats < end]
    strokes.sort(key=lambda stroke: stroke.onset_beats)
    items: list[Item] = []
    at = Fraction(0)
    for index, stroke in enumerate(strokes):
        if stroke.onset_beats < at:
            continue
        if stroke.onset_beats > at:
            items.append(Item(stroke.onset_beats - at))
        following = next(
            (s.onset_beats for s in strokes[index + 1 :] if s.onset_beats > stroke.onset_beats), end
        )
        stop = stroke.onset_beats + stroke.duration_beats
        at = min(following, -(-stop // _STROKE_GRID) * _STROKE_GRID)
        items.append(
            Item(
                at - stroke.onset_beats,
                "slash",
                direction=stroke.direction,
                sign=stroke.kind,
                scoop=stroke.slide_frets < 0,
                falloff=stroke.fall_frets > 0,
            )
        )
    return items


def _line_part(id_: str, lane: NotatedLane, string: int, key: Key, *, frets: bool = False) -> _Part:
    """Return what one string plays as a part of notes."""
    voicing = lane.voicing
    if voicing is None:
        raise OptionError(f"the {lane.name} lane has no grips, so string {string} has no line")
    if not 1 <= string <= voicing.tuning.strings:
        raise OptionError(f"strings are 1 to {voicing.tuning.strings}, got {string}")
    index = voicing.tuning.index(string)
    items: list[Item] = []
    for bar in lane.roadmap.bars:
        for _, slot, voiced in _chords_over(bar, voicing):
            grip = voiced.grip if voiced else None
            midi = grip.midi[index] if grip else None
            if midi is None or grip is None or voiced is None:
                items.append(Item(slot.beats))
                continue
            name = NoteName.parse(spelled(midi, voiced.chord, key).rstrip("-0123456789"))
            fret = grip.frets[index]
            lyric = str(fret) if frets else ""
            items.append(
                Item(slot.beats, "note", (midi, name), string=string, fret=fret, lyric=lyric)
            )
    bars = lane.roadmap.bars
    measures = cut_at_bars(items, [bar.beats for bar in bars])
    return _Part(id_, f"Line on string {string}", False, measures)


def _melody_part(id_: str, roadmap: Roadmap, key: Key) -> _Part:
    measures: list[list[Item]] = []
    for bar in roadmap.bars:
        items = []
        for note in bar.melody:
            name = note.written.partition(":")[0].rstrip("-0123456789")
            spelling = None if note.pitch is None else key.spell(note.pitch % 12)
            if note.pitch is not None and name and NoteName.parse(name).pc == note.pitch % 12:
                spelling = NoteName.parse(name)
            pitch = None if note.pitch is None or spelling is None else (note.pitch, spelling)
            items.append(Item(note.beats, "rest" if pitch is None else "note", pitch))
        measures.append(items or [Item(bar.beats)])
    return _Part(id_, "Melody", False, measures, is_plucked=False)


def _document(chart: Chart, roadmap: Roadmap, parts: list[_Part]) -> str:
    """Return the whole document as text."""
    score = Element("score-partwise", version="4.0")
    text_child(SubElement(score, "work"), "work-title", chart.title)
    identification = SubElement(score, "identification")
    if chart.by:
        text_child(identification, "creator", chart.by, type="composer")
    encoding = SubElement(identification, "encoding")
    text_child(encoding, "software", f"porchswing {__version__}")
    _list_parts(SubElement(score, "part-list"), parts)
    divisions = _divisions(parts)
    for number, part in enumerate(parts):
        element = SubElement(score, "part", id=part.id)
        for index, bar in enumerate(roadmap.bars):
            measure = SubElement(element, "measure", number=str(index + 1))
            if index == 0:
                measure.append(_attributes(chart, roadmap, part, divisions))
            if number == 0:
                before = roadmap.bars[index - 1] if index else None
                measure.extend(_directions(bar, before, roadmap, part, divisions))
            _fill(measure, part, index, divisions, chart.key.signature)
            if index == len(roadmap.bars) - 1:
                text_child(
                    SubElement(measure, "barline", location="right"), "bar-style", "light-heavy"
                )
    indent(score)
    return DOCTYPE + tostring(score, encoding="unicode") + "\n"


def _list_parts(part_list: Element, parts: list[_Part]) -> None:
    for channel, part in enumerate(parts, start=1):
        listed = SubElement(part_list, "score-part", id=part.id)
        text_child(listed, "part-name", part.name)
        if not part.is_plucked:
            continue
        instrument = SubElement(listed, "score-instrument", id=f"{part.id}-I1")
        text_child(instrument, "instrument-name", "Ukulele")
        text_child(instrument, "instrument-sound", "pluck.ukulele")
        midi = SubElement(listed, "midi-instrument", id=f"{part.id}-I1")
        text_child(midi, "midi-channel", str(channel))
        text_child(midi, "midi-program", str(_NYLON_GUITAR))


def _divisions(parts: list[_Part]) -> int:
    """Return divisions of a quarter that make every length and every offset whole."""
    found = [2]
    for part in parts:
        for measure in part.measures:
            found.extend(v.beats.denominator for item in measure for _, v in as_values(item))
        for chords in part.chords:
            found.extend(start.denominator for start, _, _ in chords)
        if part.tempo_map is not None:
            found.extend(s.start_beats.denominator for s in part.tempo_map.segments)
    return lcm(*found)


def _attributes(chart: Chart, roadmap: Roadmap, part: _Part, divisions: int) -> Element:
    attributes = Element("attributes")
    text_child(attributes, "divisions", str(divisions))
    key = SubElement(attributes, "key")
    text_child(key, "fifths", str(chart.key.signature))
    text_child(key, "mode", chart.key.mode)
    time = SubElement(attributes, "time")
    text_child(time, "beats", str(roadmap.meter.count))
    text_child(time, "beat-type", str(roadmap.meter.unit))
    clef = SubElement(attributes, "clef")
    text_child(clef, "sign", "G")
    text_child(clef, "line", "2")
    if part.is_slashes:
        style = SubElement(attributes, "measure-style")
        SubElement(style, "slash", {"type": "start", "use-stems": "yes"})
    return attributes


def _directions(
    bar: PlayedBar, before: PlayedBar | None, roadmap: Roadmap, part: _Part, divisions: int
) -> Iterator[Element]:
    """Yield section names, tempo and swing at a bar."""
    visit = (bar.section, bar.pass_number)
    if before is None or visit != (before.section, before.pass_number):
        direction = Element("direction", placement="above")
        text_child(SubElement(direction, "direction-type"), "rehearsal", bar.section)
        yield direction
    if part.tempo_map is None:
        if before is None:
            compound = roadmap.meter.is_compound
            quarter = roadmap.tempo_bpm * (1.5 if compound else 1.0)
            yield _tempo(quarter, None, compound, 0)
        return
    end = bar.start_beats + bar.beats
    for segment in part.tempo_map.segments:
        starts = max(Fraction(0), segment.start_beats)
        if bar.start_beats <= starts < end and (segment.start_beats >= 0 or before is None):
            offset = int((starts - bar.start_beats) * divisions)
            yield _tempo(segment.quarter_bpm, segment.ratio, roadmap.meter.is_compound, offset)


def _tempo(quarter_bpm: float, ratio: float | None, compound: bool, offset: int) -> Element:
    """Return the direction of a tempo; only one at the start of a bar is printed."""
    direction = Element("direction", placement="above")
    if offset:
        text_child(SubElement(direction, "direction-type"), "words", "")
        text_child(direction, "offset", str(offset), sound="yes")
    else:
        metronome = SubElement(SubElement(direction, "direction-type"), "metronome")
        text_child(metronome, "beat-unit", "quarter")
        if compound:
            SubElement(metronome, "beat-unit-dot")
        text_child(metronome, "per-minute", _number(quarter_bpm / (1.5 if compound else 1.0)))
    sound = SubElement(direction, "sound", tempo=_number(quarter_bpm))
    if ratio is not None:
        swing = SubElement(sound, "swing")
        lowest = Fraction(ratio).limit_denominator(_SWING_LIMIT)
        if lowest == 1:
            SubElement(swing, "straight")
        else:
            text_child(swing, "first", str(lowest.numerator))
            text_child(swing, "second", str(lowest.denominator))
            text_child(swing, "swing-type", "eighth")
    return direction


def _fill(measure: Element, part: _Part, index: int, divisions: int, signature: int) -> None:
    """Write a measure's items with its chord symbols before the notes they stand over."""
    accidentals = Accidentals(signature)
    waiting = list(part.chords[index]) if part.chords else []
    at = Fraction(0)
    for item in part.measures[index]:
        for tied, value in as_values(item):
            while waiting and waiting[0][0] < at + value.beats:
                start, slot, voiced = waiting.pop(0)
                offset = int((start - at) * divisions)
                grip = voiced.grip if voiced and part.is_slashes else None
                chord = voiced.chord if voiced else slot.chord
                measure.append(harmony_element(chord, grip, offset, degrees=part.is_slashes))
            measure.append(note_element(tied, value, divisions, accidentals))
            at += value.beats


def _number(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".")
