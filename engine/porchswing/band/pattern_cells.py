"""What bass and drum pattern files share: words under counts, loudness digits, places."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from porchswing.rhythm.patterns import PLACES, PatternData

HOLD, SILENCE = "-", "."


def parse_place(data: PatternData, path: str, row: Mapping[str, Any]) -> str:
    """Return where a bar of a pattern is played, ``groove`` where it does not say."""
    place = row.get("place", "groove")
    if place not in PLACES:
        data.fail(f"{path}.place", f"must be one of {', '.join(PLACES)}, got {place!r}")
    return str(place)


def cells_under(data: PatternData, key_path: str, text: object, count: int) -> list[str]:
    """Return the words of a row, one under each counted cell."""
    if not isinstance(text, str):
        data.fail(key_path, f"must be a text with one word under each count, got {text!r}")
    words = text.split()
    if len(words) != count:
        data.fail(key_path, f"must have {count} words, one under each count, got {len(words)}")
    return words


def loudness(data: PatternData, key_path: str, digit: str) -> float:
    """Return velocity 0.1 to 0.9 of a loudness written 1 to 9.

    >>> loudness(PatternData("drums", "x", "x.toml", {}), "ride", "6")
    0.6
    """
    if len(digit) != 1 or digit not in "123456789":
        data.fail(key_path, f"must be a loudness from 1 to 9, got {digit!r}")
    return int(digit) / 10
