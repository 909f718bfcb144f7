"""Words as they are printed under bars: whole words again, verse by verse."""

from __future__ import annotations

from collections.abc import Sequence

from porchswing.chart.model import Syllable

HELD = "_"
"""What stands in a bar that only holds a syllable of the bar before."""


def sung_text(words: Sequence[Syllable]) -> str:
    """Return the words of a bar; a hyphen ends one that goes on in the next bar.

    >>> from fractions import Fraction
    >>> beat = Fraction(1)
    >>> lantern = (Syllable(0 * beat, beat, "Lan", True), Syllable(beat, beat, "tern"))
    >>> sung_text(lantern), sung_text(lantern[:1])
    ('Lantern', 'Lan-')
    """
    text = ""
    for index, each in enumerate(words):
        text += each.text
        if each.is_joined and index == len(words) - 1:
            text += "-"
        elif not each.is_joined:
            text += " "
    return text.strip() or (HELD if words else "")
