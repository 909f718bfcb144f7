"""Which bass and drums belong to a strum: ``patterns/companions.toml`` as rows.

A player's own folder of patterns may hold a ``companions.toml`` too; its rows come first.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any, NamedTuple

from porchswing.chart.model import Meter
from porchswing.rhythm.patterns import PatternData, companion_files
from porchswing.rhythm.strum import FEELS, StrumPattern

ANY_METERS = {"n/4": 4, "n/8": 8}
"""Meters of rows that hold for every meter of a unit."""


class Lifts(NamedTuple):
    """Pattern names of one part: light strains, full ones, slow tunes, full strains of those."""

    light: str
    full: str
    slow: str
    slow_full: str

    def at(self, *, slow: bool, full: bool) -> str:
        """Return the pattern of a strain.

        >>> Lifts("two", "walk", "ballad", "ballad").at(slow=False, full=True)
        'walk'
        """
        if slow:
            return self.slow_full if full else self.slow
        return self.full if full else self.light


class Companions(NamedTuple):
    """One row: the strums it holds for (empty: all of its meter and feel), and their lifts."""

    meter: str
    feel: str
    strums: tuple[str, ...]
    lifts: Mapping[str, Lifts]

    def fits(self, strum: StrumPattern, meter: Meter) -> bool:
        """Whether the row holds for a strum in a meter."""
        if self.meter in ANY_METERS:
            return ANY_METERS[self.meter] == meter.unit
        if self.meter != str(meter):
            return False
        return strum.name in self.strums if self.strums else self.feel == strum.feel


@lru_cache(maxsize=1)
def companion_rows() -> tuple[Companions, ...]:
    """Return every row, a player's own before ours."""
    return tuple(
        _row(data, f"companions[{index}]", row)
        for data in companion_files()
        for index, row in enumerate(data.rows("companions"))
    )


def companions_of(strum: StrumPattern, meter: Meter) -> Companions:
    """Return the row that holds for a strum in a meter.

    >>> from porchswing.rhythm.strum import load_strum
    >>> companions_of(load_strum("bossa"), Meter(4, 4)).lifts["drums"].light
    'bossa'
    """
    return next(row for row in companion_rows() if row.fits(strum, meter))


def _row(data: PatternData, path: str, row: Mapping[str, Any]) -> Companions:
    data.allow_only(row, ("meter", "feel", "strums", "bass", "drums"), f"{path}.")
    meter, feel, strums = row.get("meter"), row.get("feel"), row.get("strums", [])
    if not isinstance(meter, str):
        data.fail(f"{path}.meter", f"must be a meter such as 4/4 or n/4, got {meter!r}")
    if feel not in FEELS:
        data.fail(f"{path}.feel", f"must be one of {', '.join(FEELS)}, got {feel!r}")
    if not isinstance(strums, list) or not all(isinstance(name, str) for name in strums):
        data.fail(f"{path}.strums", f"must be a list of strum names, got {strums!r}")
    lifts = {part: _lifts(data, f"{path}.{part}", row.get(part)) for part in ("bass", "drums")}
    return Companions(meter, str(feel), tuple(strums), lifts)


def _lifts(data: PatternData, path: str, value: object) -> Lifts:
    """Return the pattern names of one part; ``slow_full`` defaults to ``slow``."""
    if not isinstance(value, dict):
        data.fail(path, f"must be a table of pattern names, got {value!r}")
    data.allow_only(value, Lifts._fields, f"{path}.")
    names = {"slow_full": value.get("slow"), **value}
    for field in Lifts._fields:
        if not isinstance(names.get(field), str):
            data.fail(f"{path}.{field}", f"must be a pattern name, got {names.get(field)!r}")
    return Lifts(**names)
