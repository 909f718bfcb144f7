"""Setting our layouts, and texts as the typesetter's fonts can print them.

The typesetter is the ``typst`` wheel. It carries Libertinus Serif and DejaVu Sans Mono; system
fonts are ignored, so that a sheet is the same on every machine. What they lack, such as emoji, is
replaced by a sign, and the sheet says so.
"""

from __future__ import annotations

import json
import re
from importlib.resources.abc import Traversable
from typing import Any, Literal

from porchswing.errors import check_one_of, missing_extra

PAPERS = {"a4": "a4", "letter": "us-letter"}
"""Paper names users type, and the typesetter's names for them."""

STAND_IN = "▯"
"""What a sign that cannot be printed becomes."""

NOTICE = f"{STAND_IN} is a sign this sheet's fonts do not have."

PRINTABLE = (
    (0x0020, 0x024F),  # Latin
    (0x02B0, 0x036F),  # letters and marks that modify
    (0x0370, 0x052F),  # Greek, Cyrillic
    (0x05D0, 0x05EA),  # Hebrew
    (0x1E00, 0x1FFF),  # Latin and Greek with marks
    (0x2010, 0x2027),  # dashes, quotation marks
    (0x2030, 0x205E),
    (0x2070, 0x20B0),  # raised and lowered figures, currencies
    (0x2190, 0x21FF),  # arrows
    (0x2200, 0x22FF),  # mathematical signs
    (0x25A0, 0x25FF),  # shapes
    (0x2669, 0x266F),  # music
    (0x2713, 0x2717),
)
"""First and last code points of what the fonts have (read from their tables)."""

_UNPRINTABLE = re.compile(f"[^\n{''.join(f'{chr(a)}-{chr(z)}' for a, z in PRINTABLE)}]")
_JOINERS = re.compile("[\u200d\u20e3\ufe00-\ufe0f\U0001f3fb-\U0001f3ff]")
"""Invisible signs that join and colour emoji."""


def typeset(
    layout: Traversable,
    form: Literal["pdf", "svg", "png"],
    data: dict[str, Any],
    what: str,
    ppi: float | None = None,
) -> list[bytes]:
    """Return what a layout makes of its data, page by page; a PDF is one piece.

    ``what`` names it in the error where the ``lesson`` extra is not installed.
    """
    try:
        import typst
    except ImportError as error:
        raise missing_extra(what, "lesson") from error
    made = typst.compile(
        layout.read_bytes(),
        format=form,
        ppi=ppi,
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(data, ensure_ascii=False)},
        timestamp=0,
    )
    return [made] if isinstance(made, bytes) else list(made or ())


def paper_name(paper: str) -> str:
    """Return the typesetter's name for a paper."""
    check_one_of("paper", paper, PAPERS)
    return PAPERS[paper]


def printable(value: Any) -> Any:
    """Return data with every unprintable sign replaced, pictures left alone.

    >>> printable({"title": "Rosie 🎈"})
    {'title': 'Rosie ▯'}
    """
    if isinstance(value, str):
        is_picture = value.startswith("<svg")
        return value if is_picture else _UNPRINTABLE.sub(STAND_IN, _JOINERS.sub("", value))
    if isinstance(value, dict):
        return {name: printable(each) for name, each in value.items()}
    if isinstance(value, list | tuple):
        return [printable(each) for each in value]
    return value
