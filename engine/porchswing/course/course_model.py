"""What a course asks for, as frozen records: tunes, and how each is to be played and written."""

from __future__ import annotations

from dataclasses import dataclass, field

from porchswing.options import Choices

AS_WRITTEN = "as written"
"""How a course says "the chart's own key" or "the chart's own tempo"."""


@dataclass(frozen=True, slots=True)
class Mix:
    """A named mix: the parts left out."""

    name: str
    without: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Tune:
    """Some charts and what is made of each: every key in every tempo in every mix and format.

    ``charts`` are paths or globs relative to the course file. ``None`` among ``keys`` and
    ``tempos`` stands for what the chart says; a tempo such as ``60%`` is a share of that.
    ``pages`` asks for a practice page and handouts in every key; ``choices`` holds everything
    else.
    """

    charts: tuple[str, ...]
    keys: tuple[str | None, ...] = (None,)
    tempos: tuple[float | str | None, ...] = (None,)
    mixes: tuple[Mix, ...] = (Mix("full"),)
    formats: tuple[str, ...] = ("wav", "mid")
    choices: Choices = field(default=Choices())
    pages: bool = False
    lesson: SectionLesson | None = None


@dataclass(frozen=True, slots=True)
class SectionLesson:
    """One lesson of a series on one tune: the sections it teaches, reviews and plays.

    ``taught`` are the sections of the lessons before it on the same chart, lesson by lesson;
    their grips are kept.
    """

    title: str
    teaches: tuple[str, ...]
    reviews: tuple[str, ...] = ()
    plays: tuple[str, ...] = ()
    taught: tuple[tuple[str, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class Course:
    """A whole course; where two tunes name one chart, the later one stands."""

    title: str
    file: str
    tunes: tuple[Tune, ...]
    lessons: tuple[Tune, ...] = ()
