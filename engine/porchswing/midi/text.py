"""Text for interchange: printable ASCII, as RP-001 advises for meta events."""

from __future__ import annotations

import unicodedata

REPLACEMENTS = str.maketrans(
    {
        "♭": "b",
        "♯": "#",
        "𝄫": "bb",
        "𝄪": "##",
        "Δ": "maj",
        "△": "maj",
        "ø": "m7b5",
        "°": "dim",
        "–": "-",
        "—": "-",
        "’": "'",
        "‘": "'",
        "“": '"',
        "”": '"',
        "…": "...",
        "ß": "ss",
    }
)


def ascii_text(text: str) -> str:
    """Return the text in printable ASCII; accents are dropped, other signs become ``?``.

    >>> ascii_text("B♭7 – Café")
    'Bb7 - Cafe'
    """
    spelled = unicodedata.normalize("NFKD", text.translate(REPLACEMENTS))
    letters = (sign for sign in spelled if not unicodedata.combining(sign))
    return "".join(sign if " " <= sign <= "~" else "?" for sign in letters)
