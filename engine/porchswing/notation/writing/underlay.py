"""Words under notes: syllables, hyphens and extenders of every verse, over bar lines too."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import chain, pairwise

from porchswing.chart.model import Syllable
from porchswing.chart.roadmap import PlayedBar, Roadmap
from porchswing.notation.writing.note_elements import Item, LyricText, NoteLyric

_WAYS = {
    (False, False): "single", (False, True): "begin", (True, True): "middle", (True, False): "end",
}  # fmt: skip
"""How a syllable stands in its word: by whether one before and one after it belong to it."""


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
    """Yield each sung note with what stands under it, words and extenders going on between them.

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
            texts.append(LyricText(syllable.text, _WAYS[is_inside, syllable.is_joined]))
            is_inside = syllable.is_joined
        if goes_on:
            extend = "start" if texts else "continue"
        else:
            is_cut = is_inside and following is not None and following.is_gap
            extend = "stop" if is_cut or not texts else ""
        yield each, NoteLyric(tuple(texts), extend, verse)
