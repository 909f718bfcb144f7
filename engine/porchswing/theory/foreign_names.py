"""Chord symbols with German or solfège note names, in the English letters that charts use.

German: *is* raises and *es* lowers a letter (*As* and *Es* are short), *H* is B, a small letter is
minor. Solfège: do ré mi fa sol la si. A German *B* and *Do* (also D diminished) stay as they are:
they name other chords here. So does *dom7* in small letters, the dominant seventh in English.
"""

from __future__ import annotations

import re

_GERMAN = re.compile(r"([A-Ha-h])(is|es|s)(?!us)(.*)", re.DOTALL)
_SOLFEGE = re.compile(r"(do|r[ée]|mi|fa|sol|la|si)([b#♭♯]?)(.*)", re.DOTALL | re.IGNORECASE)
_LETTERS = {"do": "C", "ré": "D", "re": "D", "mi": "E", "fa": "F", "sol": "G", "la": "A", "si": "B"}
_SHORT = ("A", "E")
"""Letters that German lowers by a mere s."""


def in_english(text: str) -> str:
    """Return a symbol in English letters; empty where it is neither German nor solfège.

    >>> in_english("Es7"), in_english("Cism7"), in_english("fis"), in_english("Rém")
    ('Eb7', 'C#m7', 'F#m', 'Dm')
    """
    if match := _GERMAN.fullmatch(text):
        letter, ending, rest = match.groups()
        if ending != "s" or letter.upper() in _SHORT:
            root = "B" if letter.upper() == "H" else letter.upper()
            minor = "m" if letter.islower() else ""
            return f"{root}{'#' if ending == 'is' else 'b'}{minor}{rest}"
    if (match := _SOLFEGE.fullmatch(text)) and not text.startswith("dom"):
        return f"{_LETTERS[match[1].lower()]}{match[2]}{match[3]}"
    return ""
