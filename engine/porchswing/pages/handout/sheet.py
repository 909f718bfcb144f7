"""What stands on a handout, as plain text and pictures ready to be set.

These records are the whole interface between the music and the typesetter: every string is
data, escaped by being JSON, so that a chart's title can never become markup.
"""

from __future__ import annotations

from dataclasses import dataclass

PAPERS = {"a4": "a4", "letter": "us-letter"}
"""Paper names users type, and the typesetter's names for them."""


@dataclass(frozen=True, slots=True)
class SheetChord:
    """A chord in a bar: printed ``symbol``, its ``share`` of the bar, grip picture and frets."""

    symbol: str
    share: float = 1.0
    svg: str = ""
    frets: str = ""


@dataclass(frozen=True, slots=True)
class SheetBar:
    """One bar: what the student knows above, what we play below, and a short ``mark``."""

    plain: tuple[SheetChord, ...]
    swing: tuple[SheetChord, ...]
    mark: str = ""


@dataclass(frozen=True, slots=True)
class SheetSection:
    """A section with its name and a quiet ``note`` beside it."""

    name: str
    note: str
    bars: tuple[SheetBar, ...]


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One string's line: engraved ``svg`` systems and a ``note`` that explains it."""

    svg: tuple[str, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True)
class SheetStrum:
    """The right hand: the pattern's name, its counted rows of text and when a player uses it."""

    name: str
    rows: tuple[str, ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class SheetChange:
    """One swap: its trade name, where it stands, and the reason in one sentence."""

    name: str
    where: str
    reason: str


@dataclass(frozen=True, slots=True)
class SheetStep:
    """One step of the practice plan: ``minutes`` as printed, and what to do."""

    minutes: str
    words: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """A whole handout. ``legend`` is used where a tune is too long for grips under each chord."""

    title: str
    by: str
    facts: tuple[str, ...]
    sections: tuple[SheetSection, ...]
    legend: tuple[SheetChord, ...]
    line: SheetLine
    strum: SheetStrum
    changes: tuple[SheetChange, ...]
    steps: tuple[SheetStep, ...]
    plan_note: str
    care: str
