"""Set a handout as PDF: vector, fonts embedded, offline, the same bytes every time.

The typesetter is the ``typst`` wheel with the fonts it carries; system fonts are ignored so
that a sheet looks the same on every machine.
"""

from __future__ import annotations

import json
from dataclasses import asdict
from importlib import resources
from typing import Literal

from porchswing.errors import MissingExtraError, OptionError
from porchswing.pages.handout.sheet import PAPERS, Sheet

MOST_PAGES = 2
"""Pages a handout should fill at most; a long tune gets more rather than print too small."""

GRIP_SIZES_MM = (17.0, 15.0, 13.0)
"""Heights a grip diagram may have, the largest that fits is taken."""

_WORDS = {
    "legend": "Grips, in order of first use",
    "line": "One string's line",
    "strum": "Right hand",
    "why": "What changed, and why",
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
    if paper not in PAPERS:
        raise OptionError(f"paper must be one of {', '.join(PAPERS)}, got {paper!r}")
    try:
        import typst
    except ImportError as error:
        raise MissingExtraError(
            "the PDF handout needs the lesson extra: pip install 'porchswing[lesson]'"
        ) from error
    layout = resources.files(__package__).joinpath("handout.typ").read_bytes()

    def set_as(form: Literal["pdf", "svg"], grip_mm: float) -> bytes | list[bytes]:
        data = json.dumps(_page_data(sheet, paper, grip_mm), ensure_ascii=False)
        return typst.compile(
            layout, format=form, ignore_system_fonts=True, sys_inputs={"sheet": data}, timestamp=0
        )

    fitting = (size for size in GRIP_SIZES_MM if _count(set_as("svg", size)) <= MOST_PAGES)
    pdf = set_as("pdf", next(fitting, GRIP_SIZES_MM[0]))
    assert isinstance(pdf, bytes)
    return pdf


def _count(pages: bytes | list[bytes]) -> int:
    return 1 if isinstance(pages, bytes) else len(pages)


def _page_data(sheet: Sheet, paper: str, grip_mm: float) -> dict[str, object]:
    """Return what the layout reads, one JSON object."""
    data = asdict(sheet)
    data["grip_mm"] = grip_mm
    data["paper"] = PAPERS[paper]
    data["plan"] = {"note": data.pop("plan_note"), "steps": data.pop("steps")}
    data["show_grips"] = not sheet.legend
    data["bars_per_row"] = 4
    data["words"] = _WORDS
    data["footer"] = "porchswing"
    return data
