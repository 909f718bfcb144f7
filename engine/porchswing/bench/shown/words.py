"""The words the page completes, from the tables the command line uses, and header lines."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from porchswing.bench.shown.board_data import edit_row
from porchswing.chart.language.header import IN_SECTIONS, KEYS
from porchswing.chart.language.reader import ALL_LANES
from porchswing.errors import OptionError
from porchswing.grips.search.best_key import TONICS
from porchswing.grips.shapes.tunings import TUNINGS
from porchswing.harmony.swaps.catalogue import SWAPS
from porchswing.offered.bar_text import TextEdit, apply_edits
from porchswing.offered.offer import MARK_REASONS
from porchswing.rhythm.patterns import KINDS, load_pattern_data, pattern_names
from porchswing.theory.qualities import QUALITIES


def word_tables() -> dict[str, Any]:
    """Return every table the page completes from."""
    return {
        "headers": [row.key for row in KEYS],
        "settings": list(IN_SECTIONS),
        "lanes": list(ALL_LANES),
        "keys": [*TONICS["major"].split(), *(f"{t} minor" for t in TONICS["minor"].split())],
        "tunings": list(TUNINGS),
        "suffixes": [suffix for suffix in QUALITIES if len(suffix) < 9],
        "marks": [{"label": mark, "info": reason} for mark, reason in MARK_REASONS],
        "swaps": [{"label": row.name, "info": row.reason} for row in SWAPS],
        "patterns": {
            kind: [_pattern(kind, name) for name in pattern_names(kind)] for kind in KINDS
        },
    }


def _pattern(kind: str, name: str) -> dict[str, str]:
    data = load_pattern_data(kind, name)
    return {
        "label": name,
        "title": data.text("title"),
        "info": data.text("when"),
        "meter": str(data.meter()),
    }


def header_edits(text: str, lines: Mapping[str, str]) -> dict[str, Any]:
    """Return the edits that set header lines, each in its own place or above the first section."""
    edits: list[TextEdit] = []
    for key, value in lines.items():
        if key not in [row.key for row in KEYS] or "\n" in value:
            raise OptionError(
                f"unknown header key {key!r}; known: {', '.join(r.key for r in KEYS)}"
            )
        edits.append(_header_edit(text, key, value))
    apply_edits(text, tuple(edits))
    return {"edits": [edit_row(text, edit) for edit in edits]}


def _header_edit(text: str, key: str, value: str) -> TextEdit:
    first_section = re.search(r"^\s*[\[|]", text, re.MULTILINE)
    head = text[: first_section.start()] if first_section else text
    found = re.search(rf"^[ \t]*{key}[ \t]*:[ \t]*(.*?)[ \t]*$", head, re.MULTILINE | re.IGNORECASE)
    if found:
        return TextEdit(found.start(1), found.end(1), value)
    last = max(
        (m.end() for m in re.finditer(r"^[ \t]*\w+[ \t]*:.*\n", head, re.MULTILINE)), default=0
    )
    return TextEdit(last, last, f"{key + ':':<7} {value}\n")
