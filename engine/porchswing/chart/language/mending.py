"""Mending a beginner's chart: what can be meant in one way only is written as charts write it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from porchswing.chart.language.header import BY_NAME
from porchswing.chart.language.words_lane import WORDS
from porchswing.chart.model import LANES
from porchswing.errors import ChordSymbolError
from porchswing.theory.notes import in_english
from porchswing.theory.symbols import parse_chord

UPRIGHTS = "│┃¦❘｜"
"""Other upright lines, typed or pasted for a bar line."""

_BARLINES = str.maketrans(dict.fromkeys(UPRIGHTS, "|"))
_SECTION = re.compile(r"\s*\[([^\]]*)\]\s*")
_SETTING = re.compile(r"\s*([A-Za-z-]+)\s*:")
_WORDS = re.compile(r"[^\s|]+")
_ROOT = re.compile(r"[a-gA-GhH]")


@dataclass(frozen=True, slots=True)
class Mended:
    """A chart's text after mending, and what was changed, one line each."""

    text: str
    changes: tuple[str, ...]


def mend(text: str) -> Mended:
    r"""Return a chart's text with a beginner's spellings written as charts write them.

    Section names become one word, other upright lines ``|``, small or German roots and solfège
    English letters, and a line of chords without bars one bar for each chord. A header line gets
    its colon, and words in the first line become the title.

    >>> print(mend("key: F\n[Verse 1]\nf am Es7\n").text)
    key: F
    [Verse-1]
    | F | Am | Eb7 |
    <BLANKLINE>
    """
    names: dict[str, str] = {}
    changes: list[str] = []
    lines: list[str] = []
    in_section = False
    for number, line in enumerate(text.split("\n"), start=1):
        mended = line
        if not line.lstrip().startswith("#"):
            mended = _section_line(line, names) or _music_line(line, in_section)
            if mended == line and not in_section:
                mended = header_meant(line, lines) or line
            if mended.lstrip().startswith("|") and not in_section:
                lines.append("[A]")
                changes.append(f"line {number}: section [A] begins here")
            in_section = in_section or mended.lstrip().startswith(("[", "|"))
        if mended != line:
            changes.append(f"line {number}: {line.strip()} -> {mended.strip()}")
        lines.append(mended)
    return Mended("\n".join(_with_names(lines, names)), tuple(changes))


def header_meant(line: str, before: Sequence[str]) -> str:
    """Return the header line that words before any section stand for; empty where none.

    >>> header_meant("key = G minor", ["title: Kettle"]), header_meant("My Kettle", [])
    ('key: G minor', 'title: My Kettle')
    """
    words = re.sub(r"^(\s*\w+)\s*[=;]", r"\1 ", line).split()
    if not words or set(line) & set("|[](){}<>:") or all(map(_chord, words)):
        return ""
    if len(words) > 1 and words[0].lower() in BY_NAME:
        return f"{words[0].lower()}: {' '.join(words[1:])}"
    return "" if any(map(str.strip, before)) else f"title: {' '.join(words)}"


def _section_line(line: str, names: dict[str, str]) -> str:
    """Return a section's line with a name of one word; empty for any other line."""
    match = _SECTION.fullmatch(line)
    if match is None:
        return ""
    name = re.sub(r"[^\w#.'+]+", "-", match[1].strip()).strip("-") or "A"
    if name != match[1]:
        names[match[1].strip()] = name
    return f"[{name}]"


def _with_names(lines: list[str], names: dict[str, str]) -> Iterator[str]:
    """Yield the lines; the form names sections by their new names."""
    for line in lines:
        match = _SETTING.match(line)
        if match and match[1].lower() in ("form", "intro", "ending"):
            for old, new in names.items():
                line = line.replace(old, new)
        yield line


def _music_line(line: str, in_section: bool) -> str:
    """Return a line of bars, or of chords without bars, in charts' letters."""
    line = line.translate(_BARLINES) if line.translate(_BARLINES).lstrip()[:1] == "|" else line
    first = "".join(line.split()[:1])
    if first in ("melody", WORDS) and not _SETTING.match(line):
        return line.translate(_BARLINES)
    lane = first if first in LANES else ""
    start = line.index(lane) + len(lane) if lane else 0
    if "|" in line[start:] and line[start:].lstrip().startswith("|"):
        return line[:start] + _WORDS.sub(lambda match: _chord(match[0]) or match[0], line[start:])
    setting = _SETTING.match(line)
    if lane or not line.strip() or (setting and (in_section or setting[1].lower() in BY_NAME)):
        return line
    chords = [_chord(word) for word in line.split()]
    return f"| {' | '.join(chords)} |" if all(chords) else line


def _chord(word: str) -> str:
    """Return a chord symbol in charts' letters; empty where it names no chord."""
    symbol: str = re.split("[@{]", word, maxsplit=1)[0]
    rest = word[len(symbol) :]
    tries = [symbol, in_english(symbol)]
    if _ROOT.match(symbol):
        tries.append(("B" if symbol[0] in "hH" else symbol[0].upper()) + symbol[1:])
    for each in filter(None, tries):
        try:
            parse_chord(each)
        except ChordSymbolError:
            continue
        return each + rest
    return ""
