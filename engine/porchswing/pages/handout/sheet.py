"""What stands on a handout, as plain text and pictures ready to be set.

These records are the whole interface between the music and the typesetter: every string is
data, escaped by being JSON, so that a chart's title can never become markup.
"""

from __future__ import annotations

from dataclasses import dataclass

from porchswing.chart.sung_text import BeatCell
from porchswing.pages.symbols import SymbolParts

BARS_A_ROW = 4


@dataclass(frozen=True, slots=True)
class SheetChord:
    """A chord in a bar: its printed ``symbol``, its ``share`` of the bar, grip and frets."""

    symbol: SymbolParts
    share: float = 1.0
    svg: str = ""
    frets: str = ""


@dataclass(frozen=True, slots=True)
class SheetBar:
    """One bar: what the student knows above, what we play below, and a short ``mark``.

    ``ways`` are several ways through it, one under the other, in place of those two. ``verses``
    are its words by beat, a line each.
    """

    plain: tuple[SheetChord, ...]
    swing: tuple[SheetChord, ...]
    mark: str = ""
    ways: tuple[tuple[SheetChord, ...], ...] = ()
    verses: tuple[tuple[BeatCell, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class SheetRow:
    """A row of bars with the line of one string under them, an SVG or nothing.

    ``width`` is how many bars fill the row.
    """

    bars: tuple[SheetBar, ...]
    line: str = ""
    width: int = BARS_A_ROW


@dataclass(frozen=True, slots=True)
class SheetSection:
    """A section with its name and a quiet ``note`` beside it; small where it is known."""

    name: str
    note: str
    rows: tuple[SheetRow, ...]
    is_known: bool = False


@dataclass(frozen=True, slots=True)
class SheetShape:
    """One shape: its diagram, its name, what it plays at which fret, whether it is known.

    ``fingers`` are other ways to finger it that the tune takes.
    """

    svg: str
    name: str
    uses: tuple[str, ...]
    is_known: bool = False
    fingers: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SheetStrum:
    """The right hand: the pattern's name, its bars with where each comes, and how to read it."""

    name: str
    bars: tuple[tuple[str, str], ...]
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
    """A whole handout.

    ``shapes`` are drawn once each, with what they are used for; ``tablature`` is the chord
    melody, where it is asked for; ``ways`` name the ways through each bar, where there are several.
    """

    title: str
    by: str
    facts: tuple[str, ...]
    sections: tuple[SheetSection, ...]
    shapes: tuple[SheetShape, ...]
    shapes_note: str
    line_note: str
    strum: SheetStrum
    changes: tuple[SheetChange, ...]
    steps: tuple[SheetStep, ...]
    plan_note: str
    care: str
    tablature: str = ""
    ways: tuple[str, ...] = ()
