"""Words as they are printed under bars: whole words again, verse by verse."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import NamedTuple

from porchswing.chart.model import Syllable

HELD = "_"
"""What a bar has that only holds a syllable of the bar before."""


class BeatCell(NamedTuple):
    """A text under a part of its bar: ``share`` is the part's length in beats."""

    text: str
    share: float


def sung_cells(words: Sequence[Syllable], bar_beats: Fraction) -> tuple[BeatCell, ...]:
    """Return the words of a bar by beat, with empty cells before and between; none without words.

    A syllable's cell reaches to the next one; a hyphen ends one whose word goes on.

    >>> beat = Fraction(1)
    >>> lantern = (Syllable(beat, beat, "Lan", True), Syllable(2 * beat, beat, "tern"))
    >>> [tuple(cell) for cell in sung_cells(lantern, 4 * beat)]
    [('', 1.0), ('Lan-', 1.0), ('tern', 2.0)]
    """
    if not words:
        return ()
    onsets = [each.at for each in words]
    cells = [BeatCell("", float(onsets[0]))] if onsets[0] else []
    held = "" if any(each.text for each in words) else HELD
    for each, end in zip(words, [*onsets[1:], bar_beats], strict=True):
        text = f"{each.text}-" if each.is_joined else each.text or held
        cells.append(BeatCell(text, float(end - each.at)))
    return tuple(_joined_at_once(cells))


def _joined_at_once(cells: Sequence[BeatCell]) -> list[BeatCell]:
    """Return cells with texts that begin together in one, such as two words on a last note."""
    found: list[BeatCell] = []
    for cell in cells:
        if found and not found[-1].share:
            before = found.pop().text
            joint = "" if before.endswith("-") else " "
            cell = BeatCell(f"{before}{joint}{cell.text}", cell.share)
        found.append(cell)
    return found


def sung_text(words: Sequence[Syllable]) -> str:
    """Return the words of a bar; a hyphen ends one that goes on in the next bar.

    >>> from fractions import Fraction
    >>> beat = Fraction(1)
    >>> lantern = (Syllable(0 * beat, beat, "Lan", True), Syllable(beat, beat, "tern"))
    >>> sung_text(lantern), sung_text(lantern[:1])
    ('Lantern', 'Lan-')
    """
    text = "".join(each.text if each.is_joined else f"{each.text} " for each in words)
    hyphen = "-" if words and words[-1].is_joined else ""
    return f"{text}{hyphen}".strip() or (HELD if words else "")
