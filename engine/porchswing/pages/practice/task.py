"""What a student is to practise: bars, tempo, who plays the chords; carried in an address.

A task is written by a teacher as clauses with commas between them, such as
``bars 21-28 at 70 %, chords mine``. In the page's address it comes after ``#``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from urllib.parse import urlencode

from porchswing.errors import OptionError, near_word

CHORDS = {
    "heard": "the chords are heard",
    "softer": "the chords play softly",
    "mine": "the chords are yours",
}
"""Who plays the chords."""

MODES = {
    "along": "play along",
    "answer": "listen, then answer",
    "fade": "the chords fade out",
}
"""Ways to practise."""

LANES = {"plain": "the plain lane", "swing": "the swing lane"}

PERCENT = range(40, 151)
"""Tempos a page can play, in percent of the tune's own."""

_CLAUSES = {
    "bars": re.compile(r"bars?\s+(\d+)(?:\s*(?:-|–|to)\s*(\d+))?"),
    "tempo": re.compile(r"(?:at\s+)?(\d+)\s*(?:%|percent)"),
    "chords": re.compile(r"chords?\s+(\w+)"),
    "lane": re.compile(r"(\w+)\s+lane"),
}
"""How each clause of a task is typed; what is left over is the mode."""


@dataclass(frozen=True, slots=True)
class Task:
    """Bars from 1 as the page counts them, tempo in percent, chords, mode, lane; none is free."""

    bars: tuple[int, int] | None = None
    percent: int | None = None
    chords: str | None = None
    mode: str | None = None
    lane: str | None = None

    def __post_init__(self) -> None:
        """Check every field."""
        if self.bars is not None and not 1 <= self.bars[0] <= self.bars[1]:
            raise OptionError(f"bars must be a rising range from 1, got {self.bars}")
        if self.percent is not None and self.percent not in PERCENT:
            raise OptionError(f"tempo must be {PERCENT[0]} to {PERCENT[-1]} %, got {self.percent}")

    @property
    def address(self) -> str:
        """The task as the page's address has it after ``#``."""
        fields = {
            "bars": f"{self.bars[0]}-{self.bars[1]}" if self.bars else None,
            "tempo": self.percent,
            "chords": self.chords,
            "mode": self.mode,
            "lane": self.lane,
        }
        return urlencode({name: value for name, value in fields.items() if value is not None})

    def __str__(self) -> str:
        """Return the task in words."""
        words = []
        if self.bars:
            first, last = self.bars
            words.append(f"bar {first}" if first == last else f"bars {first} to {last}")
        if self.percent:
            words.append(f"at {self.percent} %")
        said = [" ".join(words)] if words else []
        asked = ((self.chords, CHORDS), (self.mode, MODES), (self.lane, LANES))
        said += [known[value] for value, known in asked if value is not None]
        return ", ".join(said) or "the whole tune"


EXAMPLE = "bars 21-28 at 70 %, chords mine"
"""A task as a teacher types it."""


def parse_task(text: str) -> Task:
    """Read a task as a teacher types it.

    >>> str(parse_task("bars 21-28 at 70 %, chords mine"))
    'bars 21 to 28 at 70 %, the chords are yours'
    >>> parse_task("bars 5-8, 60%, answer, plain lane").address
    'bars=5-8&tempo=60&mode=answer&lane=plain'
    """
    left = " ".join(text.lower().split())
    found: dict[str, re.Match[str]] = {}
    for name, pattern in _CLAUSES.items():
        if clause := pattern.search(left):
            found[name] = clause
            left = left[: clause.start()] + left[clause.end() :]
    bars, tempo, chords, lane = map(found.get, _CLAUSES)
    mode = left.strip(" ,")
    otherwise = f"it looks like {EXAMPLE!r}; sections are named by their bars"
    return Task(
        bars=(int(bars[1]), int(bars[2] or bars[1])) if bars else None,
        percent=int(tempo[1]) if tempo else None,
        chords=_known("chords", chords[1], CHORDS) if chords else None,
        lane=_known("lane", lane[1], LANES) if lane else None,
        mode=_known("task", mode, MODES, otherwise) if mode else None,
    )


def _known(thing: str, value: str, known: dict[str, str], otherwise: str = "") -> str:
    if value in known:
        return value
    near = near_word(value, known)
    hint = f"did you mean {near!r}?" if near else f"known are {', '.join(known)}"
    more = f"; {otherwise}" if otherwise and not near else ""
    raise OptionError(f"unknown {thing} {value!r}; {hint}{more}")
