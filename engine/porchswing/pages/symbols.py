"""Chord symbols as print sets them: root, raised quality, bass, and where they may break.

A symbol breaks before its quality or before its slash, nowhere else. Diminished and
half-diminished chords take the trade's signs, ° and ø.
"""

from __future__ import annotations

from html import escape
from typing import NamedTuple

from porchswing.theory.chords import Chord
from porchswing.theory.notes import with_signs

SIGNS = {
    "m7b5": "ø7",
    "m9b5": "ø9",
    "dimMaj7": "°maj7",
    "dim7": "°7",
    "dim": "°",
    "aug": "+",
}
"""Qualities that print has a sign for."""

QUALITY_SIZE = 0.7
"""Size of the raised quality against the root; ``page.css`` and ``handout.typ`` agree."""

LETTERS_EM = {"mMW": 1.06, "ABCDEFGHN+": 0.87, "/1(),ijl♭♯°.": 0.5}
USUAL_EM = 0.7
"""Widths of bold serif letters in ems, read from DejaVu Serif Bold, the widest usual font."""

ONE_LINE_EM = 5.5
"""A symbol wider than this breaks before its slash instead of shrinking further."""


class SymbolParts(NamedTuple):
    """A printed chord symbol: ``root``, ``quality`` (may be empty) and slash ``bass`` or none."""

    root: str
    quality: str = ""
    bass: str = ""


def symbol_parts(chord: Chord | None) -> SymbolParts:
    """Return the printed parts of a chord; ``None`` is a bar without chord.

    >>> from porchswing.theory.symbols import parse_chord
    >>> symbol_parts(parse_chord("Bbm7b5/Db"))
    SymbolParts(root='B♭', quality='ø7', bass='/D♭')
    >>> symbol_parts(None)
    SymbolParts(root='N.C.', quality='', bass='')
    """
    if chord is None:
        return SymbolParts("N.C.")
    suffix = chord.quality.suffix
    quality = with_signs(SIGNS.get(suffix, suffix))
    bass = f"/{with_signs(str(chord.bass))}" if chord.bass else ""
    return SymbolParts(with_signs(str(chord.root)), quality, bass)


def symbol_text(chord: Chord | None) -> str:
    """Return the printed symbol as one plain text.

    >>> from porchswing.theory.symbols import parse_chord
    >>> symbol_text(parse_chord("F#dim7"))
    'F♯°7'
    """
    return "".join(symbol_parts(chord))


def symbol_html(chord: Chord | None) -> str:
    """Return the symbol as HTML whose class ``ems-N`` says how wide it is, in half ems.

    >>> symbol_html(None)
    '<span class="chord ems-6"><span class="root">N.C.</span></span>'
    """
    parts = symbol_parts(chord)
    text = f'<span class="root">{escape(parts.root)}</span>'
    if parts.quality:
        text += f'<wbr><span class="quality">{escape(parts.quality)}</span>'
    if parts.bass:
        text += f'<wbr><span class="bass">{escape(parts.bass)}</span>'
    return f'<span class="chord ems-{half_ems(parts)}">{text}</span>'


def half_ems(parts: SymbolParts) -> int:
    """Return the width of the widest line of a symbol in half ems, rounded up, 3 to 24."""
    head = letters_em(parts.root) + QUALITY_SIZE * letters_em(parts.quality)
    whole = head + letters_em(parts.bass)
    widest = whole if whole <= ONE_LINE_EM else max(head, letters_em(parts.bass))
    return min(24, max(3, int(2 * widest) + 1))


def letters_em(text: str) -> float:
    """Return about how wide a text is, in ems."""
    return sum(
        next((width for letters, width in LETTERS_EM.items() if letter in letters), USUAL_EM)
        for letter in text
    )
