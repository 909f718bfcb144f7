"""From the words under a part's notes to the verses of a chart."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from porchswing.chart.language.values import read_text
from porchswing.chart.language.words_lane import write_words
from porchswing.chart.limits import MAX_SYLLABLE_CHARACTERS, MAX_VERSES
from porchswing.chart.model import MelodyNote, Meter, Syllable, Verse
from porchswing.notation.reading.score_facts import HeardLyric, HeardNote, Remarks

EXTENDED = "\ue0f0"
"""Put behind a text whose ``<extend>`` music21 does not read; a private character of Unicode."""
CLOSED = "\ue0f1"
"""Put behind a text whose ``<extend>`` stops there, and in place of a hold that ends there."""

_SIGNS = dict.fromkeys(map(ord, (EXTENDED, CLOSED)))


def heard_lyrics(element: Any) -> Iterator[HeardLyric]:
    """Yield the words under a music21 note; an empty text holds the syllable before."""
    for order, lyric in enumerate(element.lyrics, 1):
        number = lyric.number if isinstance(lyric.number, int) and lyric.number > 0 else order
        for part in lyric.components if lyric.isComposite else (lyric,):
            cleaned = "".join(
                c if c.isprintable() or c in (EXTENDED, CLOSED) else " "
                for c in str(part.text or "")
            )
            cleaned = " ".join(read_text(cleaned.replace("|", "/")[:500]).split())
            yield HeardLyric(
                number,
                cleaned.translate(_SIGNS).strip()[:MAX_SYLLABLE_CHARACTERS],
                part.syllabic in ("begin", "middle"),
                EXTENDED in cleaned,
                CLOSED in cleaned,
            )


@dataclass(slots=True)
class _Verse:
    """One verse while it is read: whether a word or a hold goes on over the next note."""

    number: int
    is_inside: bool = False
    is_open: bool = False
    is_closed: bool = False
    has_begun: bool = False

    def bar(self, notes: Sequence[HeardNote], last: HeardNote | None) -> tuple[Syllable, ...]:
        """Return the syllables of one bar; ``last`` is its last note that sounds."""
        found: list[Syllable] = []
        can_hold = True
        for note in notes:
            own = [lyric for lyric in note.lyrics if lyric.number == self.number]
            texts = [lyric for lyric in own if lyric.text]
            if note.pitch is None and not note.is_spoken:
                self.is_open = False
            elif texts:
                found += self._syllables(note, texts, is_last=note is last)
                can_hold = True
                self.is_closed = texts[-1].is_closed
            elif self.has_begun and can_hold and self._goes_on(note, own):
                end = note.start + note.beats
                self.is_closed = any(lyric.is_closed for lyric in own) or self.is_closed
                if found:
                    found[-1] = replace(found[-1], beats=end - found[-1].at)
                else:
                    found.append(Syllable(note.start, note.beats, ""))
            else:
                self.is_open = can_hold = False
        return tuple(found)

    def _goes_on(self, note: HeardNote, own: Sequence[HeardLyric]) -> bool:
        implied = (self.is_open or self.is_inside) and not self.is_closed
        return bool(own) or implied or note.tied_before

    def _syllables(
        self, note: HeardNote, texts: Sequence[HeardLyric], *, is_last: bool
    ) -> list[Syllable]:
        """Return what one note is sung to; more than one text shares the last note of a bar."""
        self.is_inside, self.is_open = texts[-1].is_joined, texts[-1].is_open
        self.has_begun = True
        if is_last and note.pitch is not None:
            return [Syllable(note.start, note.beats, t.text, t.is_joined) for t in texts]
        text = " ".join(lyric.text for lyric in texts)[:MAX_SYLLABLE_CHARACTERS]
        return [Syllable(note.start, note.beats, text, texts[-1].is_joined)]


def verses_of(
    measures: Sequence[Sequence[HeardNote]],
    melody: Sequence[tuple[MelodyNote, ...]] | None,
    meter: Meter,
    remarks: Remarks,
) -> tuple[Verse, ...]:
    """Return the verses under a part's notes, the highest first."""
    numbers = sorted({lyric.number for bar in measures for n in bar for lyric in n.lyrics})
    if len(numbers) > MAX_VERSES:
        remarks.add(f"verses after the first {MAX_VERSES}")
    verses: list[Verse] = []
    for number in numbers[:MAX_VERSES]:
        verse = _Verse(number)
        bars: list[tuple[Syllable, ...]] = []
        for index, notes in enumerate(measures):
            sounding = [note for note in notes if note.pitch is not None]
            words = verse.bar(notes, sounding[-1] if sounding else None)
            try:
                write_words(words, meter, melody[index] if melody else ())
            except ValueError:
                remarks.add("words at places that a chart cannot say")
                words = ()
            bars.append(words)
        if any(bars):
            verses.append(tuple(bars))
    return tuple(verses)


def verses_in_turn(visits: Sequence[tuple[Verse, ...]]) -> tuple[Verse, ...] | None:
    """Return the verses that a section's visits are sung to; ``None`` where no verses do that.

    A visit sung to one verse goes on from the one before; one over several has them all.
    """
    if any(len(verses) > 1 for verses in visits):
        return visits[0] if all(verses == visits[0] for verses in visits) else None
    if not any(visits):
        return ()
    bars = max(len(verse) for verses in visits for verse in verses)
    empty: Verse = ((),) * bars
    sung = [verses[0] if verses else empty for verses in visits]
    period = next(
        count
        for count in range(1, len(sung) + 1)
        if all(verse == sung[index % count] for index, verse in enumerate(sung))
    )
    return tuple(sung[:period]) if period <= MAX_VERSES else None


def cut(verses: Sequence[Verse], start: int, end: int) -> tuple[Verse, ...]:
    """Return the bars from ``start`` to before ``end`` of every verse that has words there."""
    found = [verse[start:end] for verse in verses]
    while found and not any(found[-1]):
        found.pop()
    return tuple(found)
