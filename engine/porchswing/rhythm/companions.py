"""Which bass and drums belong to a strum: ``patterns/companions.toml`` as rows.

A player's own folder of patterns may hold a ``companions.toml`` too; its rows come first.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import NamedTuple

from porchswing.chart.model import Meter
from porchswing.rhythm.patterns import companion_files
from porchswing.rhythm.strum import FEELS, StrumPattern
from porchswing.toml_table import TomlTable

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
    return tuple(_row(row) for data in companion_files() for row in data.tables("companions"))


def companions_of(strum: StrumPattern, meter: Meter) -> Companions:
    """Return the row that holds for a strum in a meter.

    >>> from porchswing.rhythm.strum import load_strum
    >>> companions_of(load_strum("bossa"), Meter(4, 4)).lifts["drums"].light
    'bossa'
    """
    return next(row for row in companion_rows() if row.fits(strum, meter))


def _row(row: TomlTable) -> Companions:
    row.allow_only(("meter", "feel", "strums", "bass", "drums"))
    strums = row.texts("strums") if row.values.get("strums") else ()
    lifts = {part: _lifts(row.table(part)) for part in ("bass", "drums")}
    return Companions(row.text("meter"), row.choice("feel", None, FEELS), strums, lifts)


def _lifts(table: TomlTable) -> Lifts:
    """Return the pattern names of one part; ``slow_full`` defaults to ``slow``."""
    table.allow_only(Lifts._fields)
    slow = table.text("slow")
    return Lifts(table.text("light"), table.text("full"), slow, table.text("slow_full", slow))
