"""The parts of a score: a lane as slashes, a string's line and the melody as notes, with words.

Under notes are the syllables, hyphens and extenders of every verse, over bar lines too.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import accumulate, chain, pairwise

from porchswing.band.score import PartScore, Score, Stroke
from porchswing.chart.model import Slot, Syllable
from porchswing.chart.roadmap import PlayedBar, Roadmap, with_onsets
from porchswing.errors import OptionError
from porchswing.grips.melody.solo_notes import Solo, SoloSlot
from porchswing.grips.shapes.model import VoicedSlot, Voicing
from porchswing.notation.writing.note_elements import (
    Item,
    NoteLyric,
    cut_at_bars,
)
from porchswing.rhythm.tempo import TempoMap
from porchswing.theory.keys import Key, spell_pc
from porchswing.theory.notes import NoteName

_STROKE_GRID = Fraction(1, 2)
PUSH_BEATS = Fraction(1, 2)
"""How early a pushed chord is written: an eighth."""


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
class WrittenPart:
    """A part being written: a measure's items, the chords over it, and words above it.

    ``strings`` are the open strings of a tablature, MIDI numbers from the highest-numbered.
    """

    id: str
    name: str
    is_slashes: bool
    measures: list[list[Item]]
    chords: list[list[tuple[Fraction, Slot, VoicedSlot | None]]] = field(default_factory=list)
    tempo_map: TempoMap | None = None
    is_plucked: bool = True
    strings: tuple[int, ...] = ()


def lane_part(id_: str, lane: NotatedLane) -> WrittenPart:
    """Return a lane as a part of slashes under its chord symbols."""
    bars = lane.roadmap.bars
    strum = next((p for p in lane.score.parts if p.name == "chords"), None) if lane.score else None
    items = _slashes(lane.roadmap) if strum is None else _strummed(strum, lane.roadmap.beats)
    return WrittenPart(
        id_,
        f"Ukulele ({lane.name} lane)",
        True,
        cut_at_bars(marked(items, lane.roadmap), [bar.beats for bar in bars]),
        [chords_over(bar, lane.voicing) for bar in bars],
        lane.score.tempo_map if lane.score else None,
    )


def chords_over(
    bar: PlayedBar, voicing: Voicing | None
) -> list[tuple[Fraction, Slot, VoicedSlot | None]]:
    """Return the slots of a bar with the beat each enters at and the grip chosen for it."""
    voiced = {slot.slot: slot for slot in voicing.voiced(bar)} if voicing else {}
    return [
        (start, slot, voiced.get(index))
        for index, (start, slot) in enumerate(with_onsets(bar.slots))
    ]


def marked(items: list[Item], roadmap: Roadmap) -> list[Item]:
    """Return slashes with the signs of the playing marks on the stroke that brings a chord in.

    What the strum says already (the kind of its strokes, its slides) is not said twice.
    """
    found = list(items)
    starts = list(accumulate((item.beats for item in items), initial=Fraction(0)))
    for bar in roadmap.bars:
        for at, slot in with_onsets(bar.slots, bar.start_beats):
            entry = at - PUSH_BEATS if "push" in slot.marks else at
            index = next(
                (
                    place
                    for place in range(bisect_left(starts, entry), len(items))
                    if items[place].kind == "slash"
                ),
                None,
            )
            if slot.marks and index is not None and starts[index] < at + slot.beats:
                found[index] = _signed(found[index], frozenset(slot.marks))
    return found


def _signed(item: Item, marks: frozenset[str]) -> Item:
    """Return a slash with the signs of some marks."""
    own = item.sign if item.sign in ("chuck", "roll") else ""
    sign = next((mark for mark in ("chuck", "roll") if mark in marks), item.sign)
    return replace(
        item,
        sign=own or sign,
        scoop=item.scoop or "slide" in marks,
        falloff=item.falloff or "fall" in marks,
        rings="hold" in marks,
        is_cut="stop" in marks,
    )


def _slashes(roadmap: Roadmap) -> list[Item]:
    """Return a slash a beat, rests under N.C."""
    unit = roadmap.meter.click_beats
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


def line_part(id_: str, lane: NotatedLane, string: int, key: Key) -> WrittenPart:
    """Return what one string plays as a part of notes, fret numbers below."""
    voicing = lane.voicing
    if voicing is None:
        raise OptionError(f"the {lane.name} lane has no grips, so string {string} has no line")
    if not 1 <= string <= voicing.tuning.strings:
        raise OptionError(f"strings are 1 to {voicing.tuning.strings}, got {string}")
    index = voicing.tuning.index(string)
    items: list[Item] = []
    for bar in lane.roadmap.bars:
        for _, slot, voiced in chords_over(bar, voicing):
            grip = voiced.grip if voiced else None
            midi = grip.midi[index] if grip else None
            if midi is None or grip is None or voiced is None:
                items.append(Item(slot.beats))
                continue
            pitch = (midi, spell_pc(midi % 12, voiced.chord, key))
            fret = grip.frets[index]
            below = (NoteLyric(((str(fret), "single"),)),)
            items.append(Item(slot.beats, "note", pitch, string=string, fret=fret, lyrics=below))
    measures = cut_at_bars(items, [bar.beats for bar in lane.roadmap.bars])
    return WrittenPart(id_, f"Line on string {string}", False, measures)


def melody_part(id_: str, roadmap: Roadmap, key: Key) -> WrittenPart:
    """Return the melody and its words as a part of notes, spelled as typed, else as the key does.

    Words without a melody go under notes without pitch; a tune without any melody has a part
    of words alone.
    """
    measures: list[list[Item]] = []
    for bar in roadmap.bars:
        if bar.words and not any(note.pitch is not None for note in bar.melody):
            measures.append(spoken_items(bar))
            continue
        items = []
        for note in bar.melody:
            name = note.written.partition(":")[0].rstrip("-0123456789")
            spelling = None if note.pitch is None else key.spell(note.pitch % 12)
            if note.pitch is not None and name and NoteName.parse(name).pc == note.pitch % 12:
                spelling = NoteName.parse(name)
            pitch = None if note.pitch is None or spelling is None else (note.pitch, spelling)
            items.append(Item(note.beats, "rest" if pitch is None else "note", pitch))
        measures.append(items or [Item(bar.beats)])
    name = "Melody" if any(bar.melody for bar in roadmap.bars) else "Words"
    return WrittenPart(id_, name, False, underlaid(measures, roadmap), is_plucked=False)


def solo_tab_part(id_: str, roadmap: Roadmap, solo: Solo, key: Key) -> WrittenPart:
    """Return the tune on top of its grips as a part of tablature."""
    measures = []
    for bar in roadmap.bars:
        items: list[Item] = []
        at = Fraction(0)
        for slot in solo.of_bar(bar):
            if slot.at > at:
                items.append(Item(slot.at - at))
            items.append(_stopped(slot, key))
            at = slot.at + slot.beats
        if at < bar.beats:
            items.append(Item(bar.beats - at))
        measures.append(items)
    return WrittenPart(id_, "Chord melody", False, measures, strings=solo.tuning.open_midi)


def _stopped(slot: SoloSlot, key: Key) -> Item:
    """Return one note of a solo with the strings that sound under it, the tune's own first."""
    count = slot.grip.tuning.strings
    stopped = [
        (midi, count - index, fret)
        for index, (midi, fret) in enumerate(zip(slot.grip.midi, slot.grip.frets, strict=True))
        if midi is not None and fret is not None
    ]
    stopped.sort(key=lambda each: (each[0] != slot.pitch, -each[0]))
    first, *others = (
        Item(
            slot.beats,
            "note",
            (midi, spell_pc(midi % 12, slot.chord, key)),
            string=string,
            fret=fret,
        )
        for midi, string, fret in stopped
    )
    return replace(first, others=tuple(others))


# --- words under notes ----------------------------------------------------------------------------

_WAYS = {
    (False, False): "single", (False, True): "begin", (True, True): "middle", (True, False): "end",
}  # fmt: skip
"""A syllable's place in its word: by whether one before and one after it belong to it."""


def spoken_items(bar: PlayedBar) -> list[Item]:
    """Return a bar of notes without pitch, one where any verse begins or holds a syllable."""
    spans = [(each.at, each.at + each.beats) for verse in bar.words for each in verse]
    cuts = sorted({Fraction(0), bar.beats, *chain.from_iterable(spans)})
    return [
        Item(end - start, "spoken" if any(at <= start < to for at, to in spans) else "rest")
        for start, end in pairwise(cuts)
    ]


@dataclass(frozen=True, slots=True)
class _Sung:
    """What one note of a verse is sung to: syllables that begin, else one that is held, or none."""

    bar: int
    note: int
    syllables: tuple[Syllable, ...]
    is_held: bool

    @property
    def is_gap(self) -> bool:
        """Whether nothing is sung to it."""
        return not self.syllables and not self.is_held


def underlaid(measures: list[list[Item]], roadmap: Roadmap) -> list[list[Item]]:
    """Return measures with the words of the roadmap's bars under their notes."""
    found = [list(items) for items in measures]
    for verse in range(max((len(bar.words) for bar in roadmap.bars), default=0)):
        for each, lyric in _lyrics(list(_notes(found, roadmap, verse)), verse + 1):
            item = found[each.bar][each.note]
            found[each.bar][each.note] = replace(item, lyrics=(*item.lyrics, lyric))
    return found


def _notes(measures: Iterable[list[Item]], roadmap: Roadmap, verse: int) -> Iterator[_Sung]:
    """Yield the notes that sound, each with what a verse begins or holds there."""
    for index, (items, bar) in enumerate(zip(measures, roadmap.bars, strict=True)):
        words = bar.words[verse] if verse < len(bar.words) else ()
        at = Fraction(0)
        for place, item in enumerate(items):
            here = [each for each in words if each.at == at]
            held = any(each.at <= at < each.at + each.beats for each in words)
            if item.kind != "rest":
                yield _Sung(index, place, tuple(each for each in here if each.text), held)
            at += item.beats


def _lyrics(notes: list[_Sung], verse: int) -> Iterator[tuple[_Sung, NoteLyric]]:
    """Yield each sung note with the words under it, words and extenders going on between them.

    A gap inside a word is an extender that stops under the syllable before it: without one, a
    word goes on over notes that have no text of their own.
    """
    is_inside = False
    for each, following in zip(notes, [*notes[1:], None], strict=True):
        if each.is_gap:
            continue
        goes_on = following is not None and following.is_held and not following.syllables
        texts = []
        for syllable in each.syllables:
            texts.append((syllable.text, _WAYS[is_inside, syllable.is_joined]))
            is_inside = syllable.is_joined
        if goes_on:
            extend = "start" if texts else "continue"
        else:
            is_cut = is_inside and following is not None and following.is_gap
            extend = "stop" if is_cut or not texts else ""
        yield each, NoteLyric(tuple(texts), extend, verse)
