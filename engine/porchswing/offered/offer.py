"""One offer: a way to replace, grip or play the chord at one place of a chart."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from porchswing.chart.model import Frets
from porchswing.errors import WrongTypeError, check_one_of
from porchswing.options import Choices

USUAL = Choices()
"""The choices of a take nobody asked anything of."""

KINDS = ("swap", "grip", "mark")
"""What an offer may change: the chord itself, its grip, or the way it is played."""

MARK_REASONS: tuple[tuple[str, str], ...] = (
    ("slide", "In from a fret below: the hand and the sound arrive together."),
    ("push", "An eighth early: the chord comes before its beat."),
    ("hold", "Left to ring until the next chord."),
    ("roll", "Three fingers across the strings, one after another."),
    ("chuck", "Damped as it is struck: a click without pitch."),
    ("stop", "Cut off short, then silence."),
    ("fall", "Slides down and away after the stroke."),
)
"""Every mark with one line for a teacher, in the order a player tries them.

Common practice, no source.
"""

Place = tuple[str, int, Fraction | int]
"""Section, bar from 1 as written, beat from 1 in units of the meter."""


def need_place(place: object) -> None:
    """Raise :class:`~porchswing.errors.WrongTypeError` unless a value is a place."""
    if (
        isinstance(place, tuple)
        and tuple(map(type, place[:2])) == (str, int)
        and isinstance(place[2] if len(place) == 3 else None, int | Fraction)
    ):
        return
    raise WrongTypeError(f"place must be section, bar and beat, such as ('A', 2, 1), got {place!r}")


@dataclass(frozen=True, slots=True)
class BarChords:
    """The chords of one bar: ``bar`` from 1, symbols, and lengths in quarter-note beats."""

    bar: int
    symbols: tuple[str, ...]
    beats: tuple[Fraction, ...]


@dataclass(frozen=True, slots=True)
class PlaceOffer:
    """One way to play a place.

    ``name`` and ``reason`` say what it is and why. A ``swap`` gives the chords of every bar it
    changes in ``bars``, the chosen one first; ``depth`` is the reharmoniser's depth that uses it,
    ``stays`` the guide tones it keeps, ``melody`` how the tune sounds over it and ``fits``
    whether the melody allows it. A ``grip`` gives the frets that are held and those that are
    locked (``None``: not locked), the work into and out of it in words and milliseconds. A
    ``mark`` gives the ``marks`` in braces. ``is_now`` is true for what the chart says already.
    """

    kind: str
    name: str
    reason: str
    bars: tuple[BarChords, ...] = ()
    depth: int | None = None
    stays: tuple[str, ...] = ()
    melody: str = ""
    fits: bool = True
    held: Frets | None = None
    frets: Frets | None = None
    before: str = ""
    after: str = ""
    before_ms: float | None = None
    after_ms: float | None = None
    marks: tuple[str, ...] = ()
    is_now: bool = False

    def __post_init__(self) -> None:
        """Check the kind."""
        check_one_of("kind", self.kind, KINDS)

    def __str__(self) -> str:
        """Return the offer in one line."""
        chords = " ".join(self.bars[0].symbols) if self.bars else ""
        return ": ".join(word for word in (chords or self.name, self.reason) if word)
