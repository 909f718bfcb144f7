"""Words under notes: syllables, hyphens and extenders of every verse, over bar lines too."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from porchswing.chart.model import Syllable
from porchswing.chart.roadmap import PlayedBar, Roadmap
from porchswing.notation.writing.note_elements import Item, LyricText, NoteLyric


def spoken_items(bar: PlayedBar) -> list[Item]:
    """Return a bar of notes without pitch, one where any verse begins or holds a syllable."""
    starts = {each.at for verse in bar.words for each in verse}
    ends = {each.at + each.beats for verse in bar.words for each in verse}
    cuts = sorted({Fraction(0), bar.beats} | starts | ends)
    items = []
    for start, end in pairwise(cuts):
        sounds = any(s.at <= start < s.at + s.beats for verse in bar.words for s in verse)
        items.append(Item(end - start, "spoken" if sounds else "rest"))
    return items


@dataclass(frozen=True, slots=True)
class _Sung:
    """What one note of a verse is sung to: syllables that begin, or one that is held."""

    bar: int
    note: int
    syllables: tuple[Syllable, ...]


def underlaid(measures: list[list[Item]], roadmap: Roadmap) -> list[list[Item]]:
    """Return measures with the words of the roadmap's bars under their notes."""
    found = [list(items) for items in measures]
    for verse in range(max((len(bar.words) for bar in roadmap.bars), default=0)):
        sung = list(_sung_notes(found, roadmap, verse))
        for each, lyric in zip(sung, _lyrics(sung, verse + 1), strict=True):
            item = found[each.bar][each.note]
            found[each.bar][each.note] = replace(item, lyrics=(*item.lyrics, lyric))
    return found


def _sung_notes(measures: Iterable[list[Item]], roadmap: Roadmap, verse: int) -> Iterator[_Sung]:
    """Yield the notes over which a verse begins or holds a syllable."""
    for index, (items, bar) in enumerate(zip(measures, roadmap.bars, strict=True)):
        words = bar.words[verse] if verse < len(bar.words) else ()
        at = Fraction(0)
        for place, item in enumerate(items):
            here = [each for each in words if each.at == at]
            held = any(each.at <= at < each.at + each.beats for each in words)
            if item.kind != "rest" and held:
                yield _Sung(index, place, tuple(each for each in here if each.text))
            at += item.beats


def _lyrics(sung: list[_Sung], verse: int) -> Iterator[NoteLyric]:
    """Yield what stands under each note, words and extenders going on from note to note."""
    is_inside = False
    for index, each in enumerate(sung):
        goes_on = index + 1 < len(sung) and not sung[index + 1].syllables
        texts = []
        for syllable in each.syllables:
            ways = {(False, False): "single", (False, True): "begin", (True, True): "middle"}
            way = ways.get((is_inside, syllable.is_joined), "end")
            texts.append(LyricText(syllable.text, way))
            is_inside = syllable.is_joined
        extend = ("start" if goes_on else "") if texts else "continue" if goes_on else "stop"
        yield NoteLyric(tuple(texts), extend, verse)
