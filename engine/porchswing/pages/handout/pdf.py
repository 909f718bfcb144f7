"""Set a handout as PDF: vector, fonts embedded, offline, the same bytes every time."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from importlib import resources
from typing import Literal

from porchswing.pages.handout.sheet import Sheet
from porchswing.pages.symbols import QUALITY_SIZE
from porchswing.pages.typesetting import NOTICE, STAND_IN, paper_name, printable, typeset

GRIP_SIZES_MM = (27.0, 24.0, 21.0)
"""Heights a grip diagram may have: the largest that makes no more pages than the smallest.

At 24 mm a finger's number is 2 mm high: at 60 cm, a sheet on a stand, it spans 11 minutes of
arc, twice what normal sight resolves."""


@dataclass(frozen=True, slots=True)
class _Setting:
    """How a sheet is set where the plain way takes more pages.

    ``balanced``: reasons also stand below the plan; ``tight``: narrower margins, ``step_pt`` the
    size of the plan's letters.
    """

    balanced: bool = False
    tight: bool = False
    step_pt: float = 9.5


_SETTINGS = (_Setting(), _Setting(balanced=True), _Setting(True, True, 9.0))
"""The first with the fewest pages is taken."""

WAY_SHARE = 0.7
"""Height of a grip where several ways stand under each other, as a share of the usual one."""

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

    def set_as(form: Literal["pdf", "svg"], grip_mm: float, setting: _Setting) -> list[bytes]:
        sized = data | {"grip_mm": grip_mm} | asdict(setting)
        return typeset(layout, form, sized, "the PDF handout")

    *larger, smallest = GRIP_SIZES_MM
    counts = {setting: len(set_as("svg", smallest, setting)) for setting in _SETTINGS}
    setting = min(_SETTINGS, key=counts.__getitem__)
    fits = (mm for mm in larger if len(set_as("svg", mm, setting)) == counts[setting])
    return set_as("pdf", next(fits, smallest), setting)[0]


def _page_data(sheet: Sheet, paper: str) -> dict[str, object]:
    """Return what the layout reads but the height of a grip, one JSON object."""
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
