"""Which verses stand over a played bar: a section that comes again is sung to its next verse.

Where a chorus comes to a section as often as it has verses, each time has one verse, and they
start over after the last. Otherwise every verse stands at every time, as songs are printed.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from porchswing.chart.model import Section, Syllable
from porchswing.chart.roadmap import Visit


def words_sung(
    visits: Sequence[Visit], names: Sequence[str]
) -> list[list[tuple[tuple[Syllable, ...], ...]]]:
    """Return the words of every bar of every visit: of the verse sung there, or of them all.

    A repeat inside a section goes on to the next verse too. ``names`` are those that visits
    share whose verses go on from each other: a section's, or that of the one it stands for.
    """
    if not any(visit.section.words for visit in visits):
        return [[()] * len(visit.indices) for visit in visits]
    passes = [_passes(visit) for visit in visits]
    times: Counter[tuple[str, int]] = Counter()
    for visit, name, own in zip(visits, names, passes, strict=True):
        times[name, visit.chorus] += 1 + max(own, default=0)
    done: Counter[tuple[str, int]] = Counter()
    found: list[list[tuple[tuple[Syllable, ...], ...]]] = []
    for visit, name, own in zip(visits, names, passes, strict=True):
        here, verses = (name, visit.chorus), visit.section.words
        if len(verses) <= times[here]:
            found.append(
                [
                    (_words(visit.section, (done[here] + each) % len(verses), index),)
                    if verses
                    else ()
                    for index, each in zip(visit.indices, own, strict=True)
                ]
            )
        else:
            found.append([tuple(verse[index] for verse in verses) for index in visit.indices])
        done[here] += 1 + max(own, default=0)
    return found


def _words(section: Section, verse: int, index: int) -> tuple[Syllable, ...]:
    """Return a verse's words in a bar; where it has none, those of the nearest verse before."""
    for words in reversed([each[index] for each in section.words[: verse + 1]]):
        if words:
            return words
    return ()


def _passes(visit: Visit) -> list[int]:
    """Return for every bar of a visit how often its repeat was played before."""
    bars = visit.section.plain
    found: list[int] = []
    last, end, times = -1, -1, 0
    for index in visit.indices:
        if index <= last:
            times, end = times + 1, max(end, last)
        elif bars[index].repeat_start or (index == last + 1 and index > end):
            times = 0
        elif index > last + 1:
            end = len(bars)  # what follows a last ending goes on with its verse
        last = index
        found.append(times)
    return found
