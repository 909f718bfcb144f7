"""The content of a handout, as plain text and pictures, and the handout set as PDF.

The records are the whole interface between the music and the typesetter: every string is data,
escaped by being JSON, so that a chart's title can never become markup. The PDF has vectors and
embedded fonts, needs no network, and is the same bytes every time.
"""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from importlib import resources
from typing import Literal

from porchswing.chart.sung_text import BeatCell
from porchswing.pages.symbols import QUALITY_SIZE, SymbolParts
from porchswing.pages.typesetting import NOTICE, STAND_IN, paper_name, printable, typeset

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
    """One swap: its trade name, its place, and the reason in one sentence."""

    name: str
    where: str
    reason: str


@dataclass(frozen=True, slots=True)
class Sheet:
    """A whole handout.

    ``shapes`` are drawn once each, with what they are used for; ``tablature`` is the chord
    melody, where it is asked for; ``ways`` name the ways through each bar, where there are several.
    ``steps`` are those of the practice plan: the minutes as printed, and what to do.
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
    steps: tuple[tuple[str, str], ...]
    plan_note: str
    care: str
    tablature: str = ""
    ways: tuple[str, ...] = ()


GRIP_SIZES_MM = (27.0, 24.0, 21.0)
"""Heights a grip diagram may have: the largest that makes no more pages than the smallest.

At 24 mm a finger's number is 2 mm high: at 60 cm, a sheet on a stand, it spans 11 minutes of
arc, twice what normal sight resolves."""


_SETTINGS = (
    {"balanced": False, "tight": False, "step_pt": 9.5},
    {"balanced": True, "tight": False, "step_pt": 9.5},
    {"balanced": True, "tight": True, "step_pt": 9.0},
)
"""Ways to set a sheet, of which the first with the fewest pages is taken.

``balanced``: reasons are also below the plan; ``tight``: narrower margins, ``step_pt`` the
size of the plan's letters."""

WAY_SHARE = 0.7
"""Height of a grip where several ways are under each other, as a share of the usual one."""

_WORDS = {
    "shapes": "The shapes, most used first",
    "known": "known",
    "also": "also held",
    "line": "One string's line",
    "strum": "Right hand",
    "tablature": "Chord melody",
    "why": "What changed, and why",
    "continued": "continued",
    "plan": "Practice plan",
}


def handout_pdf(sheet: Sheet, paper: str = "a4") -> bytes:
    """Return a handout as PDF bytes on ``paper``, ``a4`` or ``letter``.

    Raises
    ------
    MissingExtraError
        When the ``lesson`` extra is not installed.
    OptionError
        When the paper is unknown.
    """
    layout = resources.files(__package__) / "handout.typ"
    data = _page_data(sheet, paper)

    def set_as(form: Literal["pdf", "svg"], **settings: float) -> list[bytes]:
        return typeset(layout, form, {**data, **settings}, "the PDF handout")

    *larger, smallest = GRIP_SIZES_MM
    counts = [len(set_as("svg", grip_mm=smallest, **setting)) for setting in _SETTINGS]
    setting = _SETTINGS[counts.index(min(counts))]
    fits = (mm for mm in larger if len(set_as("svg", grip_mm=mm, **setting)) == min(counts))
    return set_as("pdf", grip_mm=next(fits, smallest), **setting)[0]


def _page_data(sheet: Sheet, paper: str) -> dict[str, object]:
    """Return what the layout reads but its settings and the height of a grip, one JSON object."""
    data: dict[str, object] = printable(asdict(sheet))
    data["plan"] = {"note": data.pop("plan_note"), "steps": data.pop("steps")}
    lacks = STAND_IN in json.dumps(data, ensure_ascii=False)
    return data | {
        "footer": f"porchswing. {NOTICE}" if lacks else "porchswing",
        "paper": paper_name(paper),
        "way_share": WAY_SHARE,
        "quality_size": QUALITY_SIZE,
        "words": _WORDS,
    }
