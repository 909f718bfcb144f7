"""The position of every bar of a chart in its text, so that one bar can be rewritten alone."""

from __future__ import annotations

import re
from dataclasses import dataclass

from porchswing.chart.language.bars import Word, read_line_of_bars
from porchswing.chart.language.words_lane import verse_number
from porchswing.chart.model import Section

_LINE = re.compile(r"[^\r\n]*(?:\r\n|\r|\n|$)")


@dataclass(frozen=True, slots=True)
class TextEdit:
    """One replacement: characters ``start`` to ``end`` of a text (from 0) become ``insert``."""

    start: int
    end: int
    insert: str


@dataclass(frozen=True, slots=True)
class BarText:
    """A bar as typed: its words, and the room from the first word to the next bar line.

    ``start`` and ``end`` are places in the text; the room ends where the bar line begins.
    """

    start: int
    end: int
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RowText:
    """A line of bars as typed: its lane, its bars, where it begins and ends.

    ``line_ending`` is what ends it, or would end it in the last line; ``first_bar_line`` is the
    column, from 0, of the line's first bar line.
    """

    lane: str
    labelled: bool
    text: str
    start: int
    end: int
    line_ending: str
    first_bar_line: int
    bars: tuple[BarText, ...]


def apply_edits(text: str, edits: tuple[TextEdit, ...]) -> str:
    """Return a text with edits made, each counted in the text as it was.

    >>> apply_edits("| F | C |", (TextEdit(2, 3, "Dm"), TextEdit(6, 7, "G")))
    '| Dm | G |'
    """
    for edit in sorted(edits, key=lambda each: each.start, reverse=True):
        text = text[: edit.start] + edit.insert + text[edit.end :]
    return text


def rows_of(text: str, section: Section) -> tuple[RowText, ...]:
    """Return the lines of bars of a section that was read from ``text``, in their order."""
    starts, lines = _lines(text)
    found = []
    for index, row in enumerate(section.rows, start=section.place.line - 1):
        if row.kind != "bars":
            continue
        whole = lines[index]
        typed = whole.rstrip("\r\n")
        # the last line of a text would end as its first one does
        ending = whole[len(typed) :] or lines[0][len(lines[0].rstrip("\r\n")) :] or "\n"
        found.append(_row(row.key, row.labelled, typed, ending, starts[index]))
    return tuple(found)


def bars_of(text: str, section: Section, lane: str) -> tuple[BarText, ...]:
    """Return the bars of one lane of a section as typed."""
    return tuple(bar for row in rows_of(text, section) if row.lane == lane for bar in row.bars)


def _lines(text: str) -> tuple[list[int], list[str]]:
    """Return where every line begins, and the lines with their endings."""
    found = [match for match in _LINE.finditer(text) if match.group()]
    starts = [match.start() for match in found]
    lines = [match.group() for match in found]
    if lines and lines[0].startswith("\ufeff"):
        starts[0], lines[0] = starts[0] + 1, lines[0][1:]
    return starts, lines


def _row(lane: str, labelled: bool, typed: str, ending: str, start: int) -> RowText:
    """Return a line of bars, read as the reader does."""
    first = typed.index("|")
    first -= first > 0 and typed[first - 1] == ":"
    cells = read_line_of_bars(typed, first, has_brackets=not verse_number(lane)).cells
    bars = tuple(_bar(typed, cell.words, start) for cell in cells if cell.words)
    return RowText(lane, labelled, typed, start, start + len(typed), ending, first, bars)


def _bar(typed: str, words: list[Word], line_start: int) -> BarText:
    first = words[0].column - 1
    end = words[-1].column - 1 + len(words[-1].text)
    room = len(typed) - len(typed[end:].lstrip())
    if room == len(typed):
        room = end  # the last bar of a line that has no bar line after it
    return BarText(line_start + first, line_start + room, tuple(word.text for word in words))
