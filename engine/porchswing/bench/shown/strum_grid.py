"""A strum pattern as a grid of beats and strokes, and the grid saved as the player's own TOML."""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from porchswing.bench.shown.tune_reading import forget_readings
from porchswing.errors import OptionError
from porchswing.outputs.files import write_whole
from porchswing.outputs.names import file_word
from porchswing.rhythm.patterns import OWN_FOLDER, load_pattern_data, read_pattern_text
from porchswing.rhythm.strum import SIGNS, forget_patterns, strum_pattern

_TEXTS = ("title", "when", "meter", "feel")
_NUMBERS = ("damp", "backbeat", "push")


def grid(name: str) -> dict[str, Any]:
    """Return a strum pattern as a grid: every bar's count and strokes, cell by cell."""
    data = load_pattern_data("strum", name)
    strum_pattern(data)
    table = data.values
    return {
        "name": data.name,
        **{key: table[key] for key in (*_TEXTS, *_NUMBERS) if key in table},
        "bars": [
            {
                "place": bar.get("place", "groove"),
                "count": bar["count"].split(),
                "hand": bar["hand"].split(),
            }
            for bar in table["bars"]
        ],
        "signs": list(SIGNS),
        "own": os.environ.get(OWN_FOLDER, ""),
    }


def save(name: str, grid: Mapping[str, Any], folder: str) -> dict[str, Any]:
    """Save a grid as a pattern of the player's own; it can be named at once.

    It goes into the folder that ``PORCHSWING_PATTERNS`` names, else into ``folder``, which the
    variable then names while the bench runs.

    Raises
    ------
    PatternError
        Where the strokes make no pattern; nothing is written.
    """
    word = file_word(name).lower()
    text = grid_toml(grid)
    strum_pattern(read_pattern_text("strum", word, f"{word}.toml", text))
    own = Path(os.environ.get(OWN_FOLDER) or folder)
    path = own / "strum" / f"{word}.toml"
    write_whole(path, text.encode())
    os.environ[OWN_FOLDER] = str(own)
    forget_patterns()
    forget_readings()
    return {"name": word, "path": str(path)}


def grid_toml(grid: Mapping[str, Any]) -> str:
    """Return a grid as the TOML of a pattern, cell under cell.

    >>> print(grid_toml({"title": "Two", "when": "Now.", "meter": "2/4",
    ...     "bars": [{"place": "groove", "count": ["1", "&", "2"], "hand": ["D", ".", "D>"]}]}))
    title = "Two"
    when = "Now."
    meter = "2/4"
    <BLANKLINE>
    [[bars]]
    place = "groove"
    count = "1 & 2"
    hand  = "D . D>"
    <BLANKLINE>
    """
    lines = [f"{key} = {_quoted(grid[key])}" for key in _TEXTS if key in grid]
    lines += [f"{key} = {float(grid[key])}" for key in _NUMBERS if key in grid]
    for bar in grid["bars"]:
        count, hand = _aligned(bar["count"], bar["hand"])
        lines += ["", "[[bars]]", f"place = {_quoted(bar['place'])}"]
        lines += [f"count = {_quoted(count)}", f"hand  = {_quoted(hand)}"]
    return "\n".join(lines) + "\n"


def _aligned(count: Sequence[str], hand: Sequence[str]) -> list[str]:
    """Return both rows of a bar as text, the strokes under their counts."""
    if len(count) != len(hand):
        raise OptionError(f"a bar must have a stroke for each of its {len(count)} cells")
    widths = [max(len(a), len(b)) for a, b in zip(count, hand, strict=True)]
    return [
        " ".join(word.ljust(width) for word, width in zip(row, widths, strict=True)).rstrip()
        for row in (count, hand)
    ]


def _quoted(text: object) -> str:
    """Return a TOML basic string; control characters have no place in one."""
    kept = "".join(letter for letter in str(text) if letter >= " " and letter != "\x7f")
    return '"' + kept.replace("\\", "\\\\").replace('"', '\\"') + '"'
