"""What bass styles and drum grooves share: counted bars as data, and which one a bar plays.

A pattern file counts its bar in words and gives every row one word or digit under each count;
``.`` lets what sounds ring on, ``-`` stops it, as in a strum pattern. What a row's words mean is
for the part to say (:mod:`porchswing.band.bass.bass_part`,
:mod:`porchswing.band.drumming.drum_part`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any, ClassVar, Protocol, TypeVar

from porchswing.chart.model import Meter
from porchswing.errors import OptionError
from porchswing.rhythm.patterns import (
    Pattern,
    PatternBar,
    PatternData,
    RowReader,
    Starts,
    pattern_bars,
    pattern_names,
    repeats,
)

RING_ON, STOP = ".", "-"
TOP_KEYS = ("title", "when", "meter", "feel", "bars")


class Timed(Protocol):
    """A record with a place in the bar and a length, in quarter beats."""

    __dataclass_fields__: ClassVar[dict[str, Any]]

    @property
    def onset_beats(self) -> Fraction:
        """Where it starts, from the start of the bar."""

    @property
    def duration_beats(self) -> Fraction:
        """How long it sounds."""


TimedT = TypeVar("TimedT", bound=Timed)


def parse_groove(
    data: PatternData, row_keys: tuple[str, ...], read_cells: RowReader[TimedT]
) -> Pattern[TimedT]:
    """Read a pattern file; whatever is wrong raises an error with file and key path."""
    data.allow_only(TOP_KEYS)
    meter = data.meter()
    return Pattern(
        name=data.name,
        title=data.text("title"),
        when=data.text("when"),
        meter=meter,
        feel=data.choice("feel", "swing", ("swing", "straight")),
        bars=pattern_bars(data, meter, row_keys, read_cells),
    )


def groove_in(
    kind: str,
    asked: str | None,
    habit: str,
    meter: Meter,
    load: Callable[[str], Pattern[TimedT]],
) -> Pattern[TimedT]:
    """Return the pattern a part plays in a meter: the one asked for, else the habitual one.

    A pattern asked for in another meter is refused with the names that fit; where no file is
    written in the tune's meter (5/4, 7/8) the pattern is repeated and cut to its bar.
    """
    groove = load(asked or habit)
    if groove.meter == meter:
        return groove
    fitting = [name for name in pattern_names(kind) if load(name).meter == meter]
    if asked and fitting:
        raise OptionError(
            f"the {kind} pattern {groove.name} is in {groove.meter} and the tune in {meter}; "
            f"in {meter} there are {', '.join(fitting)}"
        )
    return replace(
        groove, meter=meter, bars=tuple(_fitted(bar, groove, meter) for bar in groove.bars)
    )


def _fitted(bar: PatternBar[TimedT], groove: Pattern[TimedT], meter: Meter) -> PatternBar[TimedT]:
    """Return a bar repeated and cut to another meter's bar; an ending comes only once."""
    own, end = groove.meter.bar_beats, meter.bar_beats
    is_ending = bar.place == "ending"
    starts = [Fraction(0)] if is_ending else repeats(own, end)
    cells: list[TimedT] = []
    for start in starts:
        for cell in bar.cells:
            onset = start + cell.onset_beats
            if onset < end:
                rings_out = is_ending and cell.onset_beats + cell.duration_beats == own
                length = end - onset if rings_out else min(cell.duration_beats, end - onset)
                cells.append(replace(cell, onset_beats=onset, duration_beats=length))
    return PatternBar(bar.place, tuple(cells))


def loudness(data: PatternData, key_path: str, digit: str) -> float:
    """Return velocity 0.1 to 0.9 of a loudness written 1 to 9.

    >>> loudness(PatternData("x.toml", {}), "ride", "6")
    0.6
    """
    if len(digit) != 1 or digit not in "123456789":
        data.fail(key_path, f"must be a loudness from 1 to 9, got {digit!r}")
    return int(digit) / 10


def sounding(
    data: PatternData, key_path: str, cells: Sequence[str], edges: Starts
) -> Iterator[tuple[int, Fraction]]:
    """Yield the index of every cell that starts a sound, and how long it sounds.

    ``edges`` are the starts of the cells and the bar's end. A ``-`` where nothing sounds is
    refused.
    """
    is_sounding = False
    for index, cell in enumerate(cells):
        if cell == STOP:
            if not is_sounding:
                data.fail(
                    f"{key_path}[{index}]",
                    f"has nothing before it to stop; write {RING_ON} where nothing happens",
                )
            is_sounding = False
        elif cell != RING_ON:
            is_sounding = True
            end = index + 1
            while end < len(cells) and cells[end] == RING_ON:
                end += 1
            yield index, edges[end] - edges[index]
