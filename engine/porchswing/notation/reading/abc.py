"""Preparing ABC tunes (the ABC standard 2.1) for music21: their chord symbols and their words.

music21 reads the texts of chord symbols unreliably (flats above all), and no words. So every
distinct symbol is replaced by a stand-in it reads for certain, and looked up again afterwards;
the ``w:`` lines (section 5.1) are read here, note by note.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import product

from porchswing.chart.language.problems import TextError
from porchswing.chart.language.slots import SILENCE
from porchswing.chart.language.words_lane import WordToken, read_sung_word
from porchswing.errors import ChordSymbolError, LeadSheetError
from porchswing.theory.chords import Chord
from porchswing.theory.symbols import parse_chord

_NO_MUSIC = re.compile(r'"[^"]*"|%.*|\[[A-Za-z]:[^\]]*\]|!.*?!|\{[^{}]*\}')
_SOUND = re.compile(r"\[[^\[\]|]*[A-Ga-g][^\[\]|]*\]|[A-Ga-g]|\|")


@dataclass(frozen=True, slots=True)
class NotedWord:
    """What a ``w:`` line gives the note of an index: a text, or a hold where it is empty."""

    note: int
    verse: int
    text: str
    is_joined: bool = False


@dataclass(slots=True)
class AbcWords:
    """Collects the words of a tune while its lines go by; ``troubles`` are words not read."""

    found: list[NotedWord] = field(default_factory=list)
    troubles: list[str] = field(default_factory=list)
    notes: int = 0
    _line: list[tuple[int, int]] = field(default_factory=list)
    _verse: int = 0

    def music(self, line: str) -> None:
        """Count the notes of a line of music and their bars."""
        self._verse = 0
        self._line = []
        bar = 0
        for match in _SOUND.finditer(_NO_MUSIC.sub("", line)):
            if match[0] == "|":
                bar += 1
            else:
                self._line.append((self.notes, bar))
                self.notes += 1

    def words(self, line: str) -> None:
        """Give the words of a ``w:`` line to the notes of the music above it."""
        self._verse += 1
        waiting = list(self._line)
        for part in line.split("|"):
            before = waiting[0][1] if waiting else 0
            for token in self._tokens(part):
                for text, is_joined in token.syllables or (("", False),):
                    note = waiting.pop(0)[0] if waiting else None
                    if note is None:
                        self.troubles.append("words beyond the notes of their line")
                    elif text or token.is_hold:
                        self.found.append(NotedWord(note, self._verse, text, is_joined))
            while waiting and waiting[0][1] <= before:
                waiting.pop(0)

    def _tokens(self, part: str) -> Iterator[WordToken]:
        for word in part.split():
            try:
                yield from read_sung_word(word)
            except TextError:
                self.troubles.append(f"the word {word[:40]!r}")


STAND_INS: tuple[str, ...] = tuple(
    f"{root}{kind}{bass}"
    for root, kind, bass in product(
        "CDEFGAB", ("", "m", "7", "maj7", "m7"), ("", *(f"/{letter}" for letter in "CDEFGAB"))
    )
    if bass != f"/{root}"
)
"""Figures that music21 gives back exactly as it got them."""

MAX_TUNE_CHARACTERS = 5_000
"""Longest single tune; of 13,060 in music21's corpus the longest has 2,437 characters."""

_FIELD = re.compile(r"[A-Za-z+]:")
_QUOTED = re.compile(r'"([^"]{0,80})"')
_DOUBLED = re.compile(r'("[^"]{0,80}"\s{0,4})(?:"[^"]{0,80}"\s{0,4})+')
_ABOVE = ("^", "_", "<", ">", "@")
_LONG_NUMBER = re.compile(r"[0-9]{4}")
_METER = re.compile(r"M:\s*([0-9]{1,2})/([0-9]{1,2})")

# what music21 would only lose, or take very long over: pattern, what is left, how it is remark
_ORNAMENTS: tuple[tuple[re.Pattern[str], str], ...] = (
    (re.compile(r"\{[^{}]{0,60}\}|[{}]"), "grace notes"),
    (re.compile(r"![^!]{0,40}!"), "signs between exclamation marks"),
    (re.compile(r"\((?![2-9])|\)"), "slurs"),
)


@dataclass(frozen=True, slots=True)
class PreparedTune:
    """An ABC tune with stand-ins for its chords, and what they stand for (``None``: N.C.)."""

    text: str
    chords: dict[str, Chord | None]
    left_out: tuple[str, ...]
    words: tuple[NotedWord, ...] = ()
    notes: int = 0


def prepare_abc(text: str) -> PreparedTune:
    """Return the first tune of an ABC text, its chord symbols replaced by stand-ins.

    A missing ``L:`` is written out as the standard says (4.7): an eighth, or a sixteenth where
    the meter is below three quarters of a whole note.

    Raises
    ------
    LeadSheetError
        Where the tune is longer than :data:`MAX_TUNE_CHARACTERS`, or a note beyond measure.
    """
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    starts = [number for number, line in enumerate(lines) if line.startswith("X:")]
    left_out: list[str] = []
    if len(starts) > 1:
        lines = lines[: starts[1]]
        left_out.append(f"the file has {len(starts)} tunes; the first was taken")
    length = sum(len(line) + 1 for line in lines)
    if length > MAX_TUNE_CHARACTERS:
        raise LeadSheetError(
            f"a tune has at most {MAX_TUNE_CHARACTERS:,} characters, got {length:,}"
        )
    symbols = _Symbols()
    out: list[str] = []
    sung = AbcWords()
    for line in _with_unit_length(lines):
        if line.startswith("w:"):
            sung.words(line[2:].partition("%")[0])
            continue
        if _FIELD.match(line) or line.startswith("%"):
            out.append(line)
            continue
        cleaned = _QUOTED.sub(symbols.stand_in, line)
        if _LONG_NUMBER.search(cleaned):
            raise LeadSheetError("a length in this tune has more than three digits")
        single = _DOUBLED.sub(r"\1", cleaned)
        if single != cleaned:
            left_out.append("where a note has several chord symbols, the first was taken")
        for pattern, remark in _ORNAMENTS:
            single, found = pattern.subn("", single)
            left_out += [remark] if found else []
        sung.music(single)
        out.append(single)
    unread = (f"the text {symbol!r} is no chord symbol" for symbol in symbols.unread)
    remarks = tuple(dict.fromkeys([*left_out, *unread, *sung.troubles]))
    text = "\n".join([*out, ""])
    return PreparedTune(text, symbols.chords, remarks, tuple(sung.found), sung.notes)


def _with_unit_length(lines: list[str]) -> list[str]:
    """Return a tune's lines with the unit length the standard takes where none is given."""
    key = next((n for n, line in enumerate(lines) if line.startswith("K:")), len(lines))
    head = lines[:key]
    if any(line.startswith("L:") for line in head):
        return lines
    meter = next((match for line in head if (match := _METER.match(line))), None)
    is_short = meter is not None and 4 * int(meter[1]) < 3 * int(meter[2])
    return [*head, "L:1/16" if is_short else "L:1/8", *lines[key:]]


class _Symbols:
    """The chord symbols of a tune and their stand-ins."""

    def __init__(self) -> None:
        self.chords: dict[str, Chord | None] = {}
        self.unread: dict[str, None] = {}
        self._known: dict[str, str] = {}

    def stand_in(self, match: re.Match[str]) -> str:
        """Return what a quoted text becomes: a quoted stand-in, or nothing."""
        symbol = match[1].strip()
        if symbol.startswith(_ABOVE) or not symbol:
            return ""
        if symbol not in self._known and not self._take_in(symbol):
            self.unread[symbol] = None
            return ""
        return f'"{self._known[symbol]}"'

    def _take_in(self, symbol: str) -> bool:
        """Give a new symbol a stand-in, if it is one and any are left."""
        if len(self._known) >= len(STAND_INS):
            return False
        try:
            chord = None if symbol.upper() in SILENCE else parse_chord(symbol)
        except ChordSymbolError:
            return False
        self._known[symbol] = STAND_INS[len(self._known)]
        self.chords[self._known[symbol]] = chord
        return True
