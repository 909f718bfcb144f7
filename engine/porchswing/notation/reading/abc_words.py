"""The words of an ABC tune: its ``w:`` lines (ABC standard 2.1, section 5.1), note by note."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from porchswing.chart.language.problems import TextError
from porchswing.chart.language.words_lane import WordToken, read_word

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
                yield from read_word(word)
            except TextError:
                self.troubles.append(f"the word {word[:40]!r}")
