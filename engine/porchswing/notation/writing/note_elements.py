"""Measures as rows of items, and the XML of one item: a rest, a slash or a note.

An item becomes the note values that make up its length: types, dots and triplets, tied together.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from xml.etree.ElementTree import Element, SubElement

from porchswing.notation.xml import add_texts, text_child
from porchswing.theory.notes import NoteName

TYPES: tuple[tuple[str, Fraction], ...] = (
    ("breve", Fraction(8)),
    ("whole", Fraction(4)),
    ("half", Fraction(2)),
    ("quarter", Fraction(1)),
    ("eighth", Fraction(1, 2)),
    ("16th", Fraction(1, 4)),
    ("32nd", Fraction(1, 8)),
    ("64th", Fraction(1, 16)),
)
"""Note types of MusicXML 4.0 (``note-type-value``) and their lengths in quarter-note beats."""

_TRIPLET = Fraction(3, 2)


@dataclass(frozen=True, slots=True)
class NoteValue:
    """One written note: its length in beats, ``type`` (empty: none fits), dots, triplet or not."""

    beats: Fraction
    type: str = ""
    dots: int = 0
    triplet: bool = False


def note_values(beats: Fraction) -> tuple[NoteValue, ...]:
    """Return the note values that make up a length, the longest first, to be tied together.

    >>> [(value.type, value.dots) for value in note_values(Fraction(5, 2))]
    [('half', 0), ('eighth', 0)]
    >>> note_values(Fraction(2, 3))[0].triplet
    True
    """
    for triplet in (False, True):
        nominal = beats * _TRIPLET if triplet else beats
        if (TYPES[-1][1].denominator * nominal).denominator == 1:
            return tuple(_greedy(nominal, triplet))
    return (NoteValue(beats),)


def _greedy(nominal: Fraction, triplet: bool) -> list[NoteValue]:
    """Take the longest plain or dotted value again and again."""
    values: list[NoteValue] = []
    while nominal > 0:
        name, dots, length = next(
            (name, dots, length)
            for name, plain in TYPES
            for dots, length in ((1, plain * Fraction(3, 2)), (0, plain))
            if length <= nominal and (dots == 0 or plain > TYPES[-1][1])
        )
        values.append(NoteValue(length / _TRIPLET if triplet else length, name, dots, triplet))
        nominal -= length
    return values


SIGNS = {-2: "flat-flat", -1: "flat", 0: "natural", 1: "sharp", 2: "double-sharp"}
"""Signs of MusicXML 4.0 (``accidental-value``) by semitones."""


@dataclass(frozen=True, slots=True)
class NoteLyric:
    """What a verse gives one note: ``texts``, and the ``extend`` of a syllable held over notes.

    Each text has its place in its word: ``single``, ``begin``, ``middle`` or ``end``; ``extend``
    is empty, ``start``, ``continue`` or ``stop``.
    """

    texts: tuple[tuple[str, str], ...] = ()
    extend: str = ""
    verse: int = 1


@dataclass(frozen=True, slots=True)
class Item:
    """One thing in a measure, ``beats`` long.

    ``kind`` is ``rest``, ``slash``, ``spoken`` (words without pitch) or ``note``. ``pitch`` is
    the spelled MIDI note of a note; ``rings`` lets it ring, ``is_cut`` stops it short;
    ``direction`` the hand's of a slash; ``sign`` how it is struck (``chuck``, ``roll``,
    ``tremolo``); ``string`` and ``fret`` where a note is stopped, ``others`` the
    notes that sound with it; ``lyrics`` are the words below it.
    """

    beats: Fraction
    kind: str = "rest"
    pitch: tuple[int, NoteName] | None = None
    direction: str | None = None
    sign: str = ""
    scoop: bool = False
    falloff: bool = False
    rings: bool = False
    is_cut: bool = False
    string: int | None = None
    fret: int | None = None
    lyrics: tuple[NoteLyric, ...] = ()
    tied_before: bool = False
    tied_after: bool = False
    others: tuple[Item, ...] = ()


def cut_at_bars(items: list[Item], bar_beats: list[Fraction]) -> list[list[Item]]:
    """Return items that follow each other from beat 0 on as measures, tied over bar lines."""
    measures: list[list[Item]] = []
    waiting = list(reversed(items))
    for beats in bar_beats:
        room, measure = beats, []
        while room > 0:
            item = waiting.pop() if waiting else Item(room)
            if item.beats > room:
                sounds = item.kind != "rest"
                waiting.append(replace(item, beats=item.beats - room, tied_before=sounds))
                item = replace(item, beats=room, tied_after=sounds)
            measure.append(item)
            room -= item.beats
        measures.append(measure)
    return measures


def as_values(item: Item) -> list[tuple[Item, NoteValue]]:
    """Return an item as written notes tied to each other."""
    values = note_values(item.beats)
    last = len(values) - 1
    sounds = item.kind != "rest"
    return [
        (
            replace(
                item,
                beats=value.beats,
                tied_before=item.tied_before or (sounds and index > 0),
                tied_after=item.tied_after or (sounds and index < last),
            ),
            value,
        )
        for index, value in enumerate(values)
    ]


class Accidentals:
    """The signs in force in one measure: the key's, then those written before."""

    def __init__(self, signature: int) -> None:
        order = "FCGDAEB" if signature > 0 else "BEADGCF"
        self._key = dict.fromkeys(order[: abs(signature)], 1 if signature > 0 else -1)
        self._written: dict[tuple[str, int], int] = {}

    def needed(self, pitch: tuple[int, NoteName]) -> str:
        """Return the sign a note needs, empty where it needs none, and remember it."""
        midi, name = pitch
        place = (name.letter, (midi - name.alter) // 12)
        if self._written.get(place, self._key.get(name.letter, 0)) == name.alter:
            return ""
        self._written[place] = name.alter
        return SIGNS[name.alter]


def chord_elements(
    item: Item, value: NoteValue, divisions: int, accidentals: Accidentals
) -> list[Element]:
    """Return the ``<note>`` of an item and of every note that sounds with it."""
    found = [note_element(item, value, divisions, accidentals)]
    for other in item.others:
        own = replace(item, pitch=other.pitch, string=other.string, fret=other.fret, lyrics=())
        note = note_element(own, value, divisions, accidentals)
        note.insert(0, Element("chord"))
        found.append(note)
    return found


def note_element(item: Item, value: NoteValue, divisions: int, accidentals: Accidentals) -> Element:
    """Return the ``<note>`` of an item; children in the order the schema asks for."""
    note = Element("note")
    if item.kind == "rest":
        SubElement(note, "rest")
    elif item.kind in ("slash", "spoken"):
        add_texts(SubElement(note, "unpitched"), {"display-step": "B", "display-octave": 4})
    elif item.pitch is not None:
        midi, name = item.pitch
        octave = (midi - name.alter) // 12 - 1
        texts = {"step": name.letter, "alter": name.alter or None, "octave": octave}
        add_texts(SubElement(note, "pitch"), texts)
    text_child(note, "duration", str(int(value.beats * divisions)))
    for kind, there in (("stop", item.tied_before), ("start", item.tied_after)):
        if there:
            SubElement(note, "tie", type=kind)
    add_texts(note, {"voice": 1, "type": value.type or None})
    for _ in range(value.dots):
        SubElement(note, "dot")
    if item.pitch is not None and not item.tied_before:
        add_texts(note, {"accidental": accidentals.needed(item.pitch) or None})
    if value.triplet:
        add_texts(SubElement(note, "time-modification"), {"actual-notes": 3, "normal-notes": 2})
    if item.kind in ("slash", "spoken"):
        is_cross = item.kind == "spoken" or item.sign == "chuck"
        text_child(note, "notehead", "x" if is_cross else "slash")
    _notations(note, item)
    for lyric in item.lyrics if not item.tied_before else ():
        _lyric(note, lyric)
    return note


def _lyric(note: Element, lyric: NoteLyric) -> None:
    """Add a verse's texts, an elision between them, and the extender."""
    found = SubElement(note, "lyric", number=str(lyric.verse))
    for index, (text, syllabic) in enumerate(lyric.texts):
        if index:
            text_child(found, "elision", " ")
        add_texts(found, {"syllabic": syllabic, "text": text})
    if lyric.extend:
        SubElement(found, "extend", type=lyric.extend)


def _notations(note: Element, item: Item) -> None:
    """Add ties, strokes, strings and frets."""
    notations = Element("notations")
    for kind, there in (("stop", item.tied_before), ("start", item.tied_after)):
        if there:
            SubElement(notations, "tied", type=kind)
    if item.rings and not item.tied_after:
        SubElement(notations, "tied", type="let-ring")
    if not item.tied_before:
        technical = Element("technical")
        if item.direction is not None:
            SubElement(technical, "down-bow" if item.direction == "down" else "up-bow")
        if item.string is not None and item.fret is not None:
            add_texts(technical, {"string": item.string, "fret": item.fret})
        if len(technical):
            notations.append(technical)
        if item.sign == "tremolo":
            text_child(SubElement(notations, "ornaments"), "tremolo", "3", type="single")
        if item.sign == "roll":
            SubElement(notations, "arpeggiate")
        articulations = Element("articulations")
        signs = {"staccatissimo": item.is_cut, "scoop": item.scoop, "falloff": item.falloff}
        for sign in (sign for sign, there in signs.items() if there):
            SubElement(articulations, sign)
        if len(articulations):
            notations.append(articulations)
    if len(notations):
        note.append(notations)
