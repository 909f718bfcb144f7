"""Charts as MusicXML 4.0 (W3C Community Group Report): both lanes, grips, strums, the line.

One chorus is written out bar by bar as it is played, so that any notation program shows and
plays the form. A lane is a part of slashes: its chord symbols carry fret diagrams, its slashes
the strum as the hand plays it, unswung; ``<swing>`` says how it is felt. The line of one string
and the melody are parts of notes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from math import lcm
from xml.etree.ElementTree import (
    Element,
    SubElement,
    indent,
    tostring,
)

from porchswing.chart.language.values import write_swing
from porchswing.chart.model import Chart
from porchswing.chart.roadmap import PlayedBar, Roadmap
from porchswing.chart.unroll import form_of
from porchswing.errors import OptionError
from porchswing.grips.melody.solo_notes import Solo
from porchswing.grips.shapes.fingers import Fingering, fingering
from porchswing.grips.shapes.model import Grip
from porchswing.grips.vocabulary.slides import MARK_WORDS
from porchswing.notation.chord_kinds import kind_of
from porchswing.notation.writing.note_elements import Accidentals, as_values, chord_elements
from porchswing.notation.writing.written_parts import (
    NotatedLane,
    WrittenPart,
    lane_part,
    line_part,
    melody_part,
    solo_tab_part,
)
from porchswing.notation.xml import NOT_GIVEN, OWN_FIELD, add_texts, text_child
from porchswing.theory.chords import Chord
from porchswing.theory.keys import spell_pc
from porchswing.theory.notes import NoteName
from porchswing.version import __version__

DOCTYPE = (
    '<?xml version="1.0" encoding="UTF-8" standalone="no"?>\n'
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
    '"http://www.musicxml.org/dtds/partwise.dtd">\n'
)
_NYLON_GUITAR = 25
_SWING_LIMIT = 12


def score_musicxml(
    chart: Chart,
    lanes: Sequence[NotatedLane],
    *,
    line_string: int | None = None,
    solo: Solo | None = None,
) -> str:
    """Return a chart as a MusicXML score.

    Parameters
    ----------
    chart
        Title and key come from it.
    lanes
        The lanes to write, all of the same bars; the first gives tempo, swing and the line.
    line_string
        The string whose line is written as a part of notes; 1 is nearest the floor.
    solo
        The tune on top of its grips, written as a part of tablature.

    Raises
    ------
    OptionError
        Where there is no lane, or the string or its grips are missing.
    """
    if not lanes:
        raise OptionError("a score needs at least one lane")
    parts = [lane_part(f"P{index}", lane) for index, lane in enumerate(lanes, start=1)]
    if line_string is not None:
        parts.append(line_part(f"P{len(parts) + 1}", lanes[0], line_string, chart.key))
    if any(bar.melody or any(bar.words) for bar in lanes[0].roadmap.bars):
        parts.append(melody_part(f"P{len(parts) + 1}", lanes[0].roadmap, chart.key))
    if solo is not None:
        parts.append(solo_tab_part(f"P{len(parts) + 1}", lanes[0].roadmap, solo, chart.key))
    return _document(chart, lanes[0].roadmap, parts)


def _document(chart: Chart, roadmap: Roadmap, parts: list[WrittenPart]) -> str:
    """Return the whole document as text."""
    score = Element("score-partwise", version="4.0")
    text_child(SubElement(score, "work"), "work-title", chart.title)
    identification = SubElement(score, "identification")
    if chart.by:
        text_child(identification, "creator", chart.by, type="composer")
    text_child(SubElement(identification, "encoding"), "software", f"porchswing {__version__}")
    about = SubElement(identification, "miscellaneous")
    for name, value in _said_of(chart):
        text_child(about, "miscellaneous-field", value, name=OWN_FIELD + name)
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


def _said_of(chart: Chart) -> Iterator[tuple[str, str]]:
    """Yield what a score written out bar by bar no longer shows: form, intro, ending, swing."""
    yield "form", " ".join(form_of(chart))
    for name, section in (("intro", chart.intro), ("ending", chart.ending)):
        if section:
            yield name, section
    swing = chart.settings.swing
    yield "swing", NOT_GIVEN if swing is None else write_swing(swing)


def _list_parts(part_list: Element, parts: list[WrittenPart]) -> None:
    for channel, part in enumerate(parts, start=1):
        listed = SubElement(part_list, "score-part", id=part.id)
        text_child(listed, "part-name", part.name)
        if part.is_plucked:
            add_texts(
                SubElement(listed, "score-instrument", id=f"{part.id}-I1"),
                {"instrument-name": "Ukulele", "instrument-sound": "pluck.ukulele"},
            )
            add_texts(
                SubElement(listed, "midi-instrument", id=f"{part.id}-I1"),
                {"midi-channel": channel, "midi-program": _NYLON_GUITAR},
            )


def _divisions(parts: list[WrittenPart]) -> int:
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


def _attributes(chart: Chart, roadmap: Roadmap, part: WrittenPart, divisions: int) -> Element:
    attributes = add_texts(Element("attributes"), {"divisions": divisions})
    key, meter = chart.key, roadmap.meter
    add_texts(SubElement(attributes, "key"), {"fifths": key.signature, "mode": key.mode})
    add_texts(SubElement(attributes, "time"), {"beats": meter.count, "beat-type": meter.unit})
    clef = {"sign": "TAB", "line": len(part.strings)} if part.strings else {"sign": "G", "line": 2}
    add_texts(SubElement(attributes, "clef"), clef)
    if part.strings:
        attributes.append(_tab_staff(part.strings))
    if part.is_slashes:
        SubElement(
            SubElement(attributes, "measure-style"), "slash", {"type": "start", "use-stems": "yes"}
        )
    return attributes


def _tab_staff(strings: Sequence[int]) -> Element:
    """Return the staff of a tablature: a line for each string, the bottom one the last string."""
    details = add_texts(Element("staff-details"), {"staff-lines": len(strings)})
    for line, midi in enumerate(strings, start=1):
        name = spell_pc(midi % 12)
        add_texts(
            SubElement(details, "staff-tuning", line=str(line)),
            {
                "tuning-step": name.letter,
                "tuning-alter": name.alter or None,
                "tuning-octave": (midi - name.alter) // 12 - 1,
            },
        )
    return details


def _directions(
    bar: PlayedBar, before: PlayedBar | None, roadmap: Roadmap, part: WrittenPart, divisions: int
) -> Iterator[Element]:
    """Yield section names, tempo and swing at a bar."""
    visit = (bar.section, bar.pass_number)
    if before is None or visit != (before.section, before.pass_number):
        yield _direction({"rehearsal": bar.section})
    compound, end = roadmap.meter.is_compound, bar.start_beats + bar.beats
    if part.tempo_map is None and before is None:
        yield _tempo(roadmap.tempo_bpm * (1.5 if compound else 1.0), None, compound, 0)
    for segment in part.tempo_map.segments if part.tempo_map else ():
        starts = max(Fraction(0), segment.start_beats)
        if bar.start_beats <= starts < end and (segment.start_beats >= 0 or before is None):
            offset = int((starts - bar.start_beats) * divisions)
            yield _tempo(segment.quarter_bpm, segment.ratio, compound, offset)


def _direction(texts: Mapping[str, str], offset: int = 0) -> Element:
    """Return a direction that is printed, ``offset`` divisions on."""
    direction = Element("direction", placement="above")
    add_texts(SubElement(direction, "direction-type"), texts)
    return add_texts(direction, {"offset": offset or None})


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
        first, second = Fraction(ratio).limit_denominator(_SWING_LIMIT).as_integer_ratio()
        uneven = {"first": first, "second": second, "swing-type": "eighth"}
        add_texts(SubElement(sound, "swing"), {"straight": ""} if first == second else uneven)
    return direction


def _fill(measure: Element, part: WrittenPart, index: int, divisions: int, signature: int) -> None:
    """Write a measure's items with its chord symbols before the notes they belong to."""
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
                if slot.marks and part.is_slashes:
                    said = ", ".join(MARK_WORDS[mark] for mark in slot.marks)
                    measure.append(_direction({"words": said}, offset))
            measure.extend(chord_elements(tied, value, divisions, accidentals))
            at += value.beats


def _number(value: float) -> str:
    return f"{value:.3f}".rstrip("0").rstrip(".")


# --- chord symbols and fret diagrams ------------------------------------------------------------

FRAME_FRETS = 4
"""Fewest frets a diagram shows."""


def harmony_element(
    chord: Chord | None, grip: Grip | None, offset: int = 0, *, degrees: bool = True
) -> Element:
    """Return the ``<harmony>`` of a chord, ``offset`` divisions after what comes before it.

    Without a chord it is an N.C.; with a grip it carries a fret diagram. ``degrees=False``
    leaves added and altered degrees to the printed text alone, for engravers that would print
    them a second time.
    """
    harmony = Element("harmony")
    if chord is None:
        text_child(SubElement(harmony, "root"), "root-step", "C", text="")
        text_child(harmony, "kind", "none", text="N.C.")
    else:
        _chord(harmony, chord, degrees)
    if grip is not None:
        harmony.append(frame_element(grip))
    return add_texts(harmony, {"offset": offset or None})


def _chord(harmony: Element, chord: Chord, degrees: bool) -> None:
    """Add root, kind, bass and degrees."""
    _note_name(harmony, "root", chord.root)
    kind, steps = kind_of(chord.quality)
    text_child(harmony, "kind", kind, text=chord.quality.suffix)
    if chord.bass is not None:
        _note_name(harmony, "bass", chord.bass)
    for step in steps if degrees else ():
        add_texts(
            SubElement(harmony, "degree", {"print-object": "no"}),
            {"degree-value": step.value, "degree-alter": step.alter, "degree-type": step.deed},
        )


def _note_name(parent: Element, name: str, note: NoteName) -> None:
    texts = {f"{name}-step": note.letter, f"{name}-alter": note.alter or None}
    add_texts(SubElement(parent, name), texts)


def frame_element(grip: Grip) -> Element:
    """Return the ``<frame>`` of a grip: strings, frets and fingers; a muted string has no note.

    String 1 is the one nearest the floor, as in MusicXML.
    """
    strings = grip.tuning.strings
    stopped = [fret for fret in grip.frets if fret]
    first = 1 if not stopped or max(stopped) <= FRAME_FRETS else min(stopped)
    frets = max([FRAME_FRETS, *(fret - first + 1 for fret in stopped)])
    frame = add_texts(Element("frame"), {"frame-strings": strings, "frame-frets": frets})
    if first > 1:
        text_child(frame, "first-fret", str(first), text=f"{first}fr")
    hand = grip.hold or fingering(grip.frets)
    fingers = hand.by_string(strings) if hand else (0,) * strings
    barres = _barres(grip, hand)
    for index, fret in enumerate(grip.frets):
        if fret is None:
            continue
        finger = (fret and fingers[index]) or None
        texts = {"string": strings - index, "fret": fret, "fingering": finger}
        note = add_texts(SubElement(frame, "frame-note"), texts)
        if index in barres:
            SubElement(note, "barre", type=barres[index])
    return frame


def _barres(grip: Grip, hand: Fingering | None) -> dict[int, str]:
    """Return where a finger that lies across strings starts and stops, by tuple index."""
    marks: dict[int, str] = {}
    for press in hand.presses if hand else ():
        own = [i for i in range(press.first, press.last + 1) if grip.frets[i] == press.fret]
        if press.is_barre and len(own) > 1:
            marks[own[0]], marks[own[-1]] = "start", "stop"
    return marks
