"""Strum and comping patterns: what the right hand does, cell by cell, over a counted bar.

A bar is two rows of text, the count and the hand, one cell under the other::

    count = "1  &  2  &  3  &  4  &"
    hand  = "D  .  d  u  D  .  d  u"

The signs are in :data:`SIGNS`; ``patterns/README.md`` explains them to players. A pattern that
does not fill its bar, strums up on a down beat unasked, or moves both ways at once is refused.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from typing import Any

from porchswing.chart.model import Meter
from porchswing.errors import OptionError
from porchswing.rhythm.patterns import (
    Pattern,
    PatternBar,
    PatternData,
    Starts,
    cells_under,
    forget_pattern_files,
    load_pattern_data,
    pattern_bars,
    pattern_names,
    refuse_mixed_beats,
    repeats,
)

FEELS = ("swing", "straight")
MAX_STRINGS = 6

SIGNS: dict[str, tuple[str, str, float]] = {
    "D": ("strum", "down", 0.64),
    "U": ("strum", "up", 0.58),
    "d": ("strum", "down", 0.48),
    "u": ("strum", "up", 0.42),
    "x": ("chuck", "", 0.58),
    "g": ("ghost", "", 0.26),
    "R": ("roll", "down", 0.64),
    "T": ("tremolo", "down", 0.55),
}
"""Sign: kind of stroke, direction (empty: down on a beat, up off it) and loudness 0 to 1."""

ACCENT = 0.16
"""What ``>`` adds to the loudness of a stroke."""

PLUCK_LOUDNESS = 0.6
_CELL = re.compile(r"([A-Za-z]*)([0-9]*)([^A-Za-z0-9]*)")
_MODIFIERS = ">'+?!"


@dataclass(frozen=True, slots=True)
class StrumCell:
    """One thing the hand does: ``at`` quarter beats into the bar.

    ``kind`` is a stroke kind, or ``rest`` where the hand stops the sound. ``strings`` are string
    numbers (empty: all); ``is_short`` cuts the sound; ``is_ahead`` plays the chord that comes
    next; ``is_filler`` is played only when the density asks for it.
    """

    at: Fraction
    kind: str
    direction: str = "down"
    loudness: float = 0.6
    strings: tuple[int, ...] = ()
    is_short: bool = False
    is_ahead: bool = False
    is_filler: bool = False


StrumBar = PatternBar[StrumCell]


@dataclass(frozen=True, slots=True)
class StrumPattern(Pattern[StrumCell]):
    """A strum or comping pattern.

    ``backbeat`` from 0 to 1 is how much 2 and 4 are leaned on; ``damp`` from 0 to 1 how soon the
    fretting hand stops a closed grip; ``push`` from 0 to 1 how readily a change comes early.
    """

    backbeat: float
    damp: float
    push: float

    def placed(self, place: str) -> tuple[StrumBar, ...]:
        """Return the bars that may be played at a place."""
        return tuple(bar for bar in self.bars if bar.place == place)


@lru_cache(maxsize=256)
def load_strum(name: str) -> StrumPattern:
    """Return a strum pattern by name; raises OptionError or PatternError.

    >>> load_strum("charleston").meter == Meter(4, 4)
    True
    """
    return strum_pattern(load_pattern_data("strum", name))


def strum_pattern(data: PatternData) -> StrumPattern:
    """Return pattern data as a checked strum pattern."""
    data.allow_only(("title", "when", "meter", "feel", "backbeat", "damp", "push", "bars"))
    meter = data.meter()
    return StrumPattern(
        name=data.name,
        title=data.text("title"),
        when=data.text("when"),
        meter=meter,
        feel=data.choice("feel", "swing", FEELS),
        backbeat=data.number("backbeat", 0.0, 1.0, 0.0),
        damp=data.number("damp", 0.0, 1.0, 0.0),
        push=data.number("push", 0.0, 1.0, 0.0),
        bars=pattern_bars(data, meter, ("hand",), _hand_cells),
    )


def _hand_cells(
    data: PatternData, row: Mapping[str, Any], path: str, places: Starts, meter: Meter
) -> tuple[StrumCell, ...]:
    signs = cells_under(data, f"{path}.hand", row.get("hand"), len(places), "D . d u")
    read = [
        _cell(data, f"{path}.hand[{index}]", sign, at, meter)
        for index, (at, sign) in enumerate(zip(places, signs, strict=True))
    ]
    cells = tuple(cell for cell in read if cell is not None)
    if all(cell.kind == "rest" or cell.is_filler for cell in cells):
        data.fail(f"{path}.hand", "needs at least one stroke that is always played")
    refuse_mixed_beats(data, path, (cell.at for cell in cells), meter)
    return cells


def _cell(data: PatternData, path: str, sign: str, at: Fraction, meter: Meter) -> StrumCell | None:
    """Read one cell; ``None`` where the sound rings on."""
    if sign == ".":
        return None
    if sign == "-":
        return StrumCell(at, "rest")
    match = _CELL.fullmatch(sign)
    if match is None:
        data.fail(path, f"is not a cell: {sign!r}; known signs: {' '.join(SIGNS)} . - and strings")
    letters, digits, marks = match.groups()
    if len(letters) > 1 and {letter.upper() for letter in letters} >= {"D", "U"}:
        data.fail(path, f"moves both ways at once: {sign!r}")
    if letters and letters not in SIGNS:
        data.fail(path, f"must start with one of {' '.join(SIGNS)}, got {sign!r}")
    unknown = [mark for mark in marks if mark not in _MODIFIERS]
    if unknown or not (letters or digits):
        data.fail(path, f"may end with {' '.join(_MODIFIERS)} after its sign, got {sign!r}")
    strings = tuple(int(digit) for digit in digits)
    if len(set(strings)) != len(strings) or not all(1 <= s <= MAX_STRINGS for s in strings):
        data.fail(path, f"must name each string once, 1 to {MAX_STRINGS}, got {digits!r}")
    kind, direction, loudness = SIGNS.get(letters, ("pinch", "down", PLUCK_LOUDNESS))
    # a felt beat: a quarter in n/4, a dotted quarter in 6/8 and its like
    is_on_down_beat = at % meter.click_beats == 0
    if letters in {"U", "u"} and is_on_down_beat and "!" not in marks:
        data.fail(path, f"strums up on a down beat; write {letters}! if you mean it, got {sign!r}")
    return StrumCell(
        at=at,
        kind=kind,
        direction=direction or ("down" if is_on_down_beat else "up"),
        loudness=loudness + (ACCENT if ">" in marks else 0.0),
        strings=strings,
        is_short="'" in marks,
        is_ahead="+" in marks,
        is_filler="?" in marks,
    )


def fitted(pattern: StrumPattern, meter: Meter) -> StrumPattern:
    """Return a pattern played in another meter: its bar repeated and cut to the bar's length.

    For meters nobody wrote a pattern for (5/4, 7/8): each bar starts the pattern anew.
    """
    if pattern.meter == meter:
        return pattern
    starts = repeats(pattern.meter.bar_beats, meter.bar_beats)
    bars = []
    for bar in pattern.bars:
        moved = (replace(cell, at=start + cell.at) for start in starts for cell in bar.cells)
        cells = tuple(cell for cell in moved if cell.at < meter.bar_beats)
        bars.append(PatternBar(bar.place, cells))
    return replace(pattern, meter=meter, bars=tuple(bars))


DEFAULT_STRUMS: dict[str, str] = {
    "4/4": "four",
    "3/4": "waltz",
    "2/4": "two_beat",
    "6/8": "six_eight",
    "9/8": "six_eight",
    "12/8": "twelve_eight",
}
"""The pattern a meter gets when nobody names one; other meters cut ``four`` or ``six_eight``."""


def strum_for(name: str | None, meter: Meter) -> StrumPattern:
    """Return the pattern to play in a meter: the one named, else the meter's own.

    A named pattern written in another meter is refused with the names that fit.
    """
    if name is None:
        fallback = "four" if meter.unit == 4 else "six_eight"
        return fitted(load_strum(DEFAULT_STRUMS.get(str(meter), fallback)), meter)
    pattern = load_strum(name)
    if pattern.meter != meter and _fitting(meter):
        raise OptionError(
            f"the strum {pattern.name} is written in {pattern.meter} and the chart is in {meter}; "
            f"in {meter} there are {', '.join(_fitting(meter))}"
        )
    return fitted(pattern, meter)


@lru_cache(maxsize=64)
def _fitting(meter: Meter) -> tuple[str, ...]:
    return tuple(name for name in pattern_names("strum") if load_strum(name).meter == meter)


def forget_patterns() -> None:
    """Forget every pattern that was read, after a file of the player's own changed."""
    forget_pattern_files()
    load_strum.cache_clear()
    _fitting.cache_clear()
