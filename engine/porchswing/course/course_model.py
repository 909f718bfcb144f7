"""What a course asks for, as frozen records: tunes, and how each is to be played and written."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from porchswing.options import Choices

AS_WRITTEN = "as written"
"""How a course says "the chart's own key" or "the chart's own tempo"."""

COURSE_DRILLS = ("review", "strum", "changes", "line", "ladder", "answer", "fade")
"""Kinds of drill that a course may ask for, in the order of a practice session."""


@dataclass(frozen=True, slots=True)
class Mix:
    """A named mix: the parts left out."""

    name: str
    without: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Tune:
    """Some charts and what is made of each: every tuning, key, tempo, mix and format.

    ``charts`` are paths or globs relative to the course file. ``None`` among ``tunings``, ``keys``
    and ``tempos`` stands for what the chart says; a tempo such as ``60%`` is a share of that.
    Without ``tunings`` there is the one of ``choices``, and no file is named after it.
    ``pages`` asks for a practice page and handouts in every key, ``drills`` for a practice track of
    each kind named; ``choices`` holds everything else.
    """

    charts: tuple[str, ...]
    keys: tuple[str | None, ...] = (None,)
    tempos: tuple[float | str | None, ...] = (None,)
    mixes: tuple[Mix, ...] = (Mix("full"),)
    formats: tuple[str, ...] = ("wav", "mid")
    choices: Choices = field(default=Choices())
    pages: bool = False
    lesson: SectionLesson | None = None
    tunings: tuple[str | None, ...] = ()
    drills: tuple[str, ...] = ()

    @property
    def strung(self) -> tuple[Choices, ...]:
        """The choices with each tuning."""
        return tuple(replace(self.choices, tuning=each) for each in self.tunings) or (self.choices,)

    @property
    def first_choices(self) -> Choices:
        """The choices in the first tuning and the first key."""
        return replace(self.strung[0], key=self.keys[0])


@dataclass(frozen=True, slots=True)
class SectionLesson:
    """What a lesson of a series does with one tune: the sections it teaches, reviews and plays.

    ``number`` counts the lessons; one with several tunes has a record for each. ``taught`` are
    the sections of the lessons before it on the same chart, lesson by lesson; their grips are
    kept.
    """

    number: int
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
