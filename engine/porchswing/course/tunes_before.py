"""The tunes before one in a course: what they brought, so that a handout marks it as known."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING

from porchswing.course.course_model import SectionLesson
from porchswing.errors import PorchswingError
from porchswing.options import Choices

if TYPE_CHECKING:
    from porchswing.lesson.learned import Met
    from porchswing.lesson.reviews import EarlierTune

MOST_BEFORE = 50
"""Most tunes before one that count as what a student remembers; the nearest ones do."""


@dataclass(frozen=True, slots=True)
class TuneBefore:
    """One chart that a course plays earlier, as text, with the choices for its first key.

    Of a ``lesson`` in a series what it plays counts.
    """

    name: str
    text: str
    choices: Choices
    lesson: SectionLesson | None = None

    @property
    def digest(self) -> str:
        """Digest of all that says what the tune brings."""
        facts: tuple[object, ...] = (self.name, self.text, self.choices)
        facts += () if self.lesson is None else (self.lesson,)
        return hashlib.sha256(repr(facts).encode()).hexdigest()


def met_in(tunes: tuple[TuneBefore, ...]) -> Met:
    """Return what tunes brought; a chart that cannot be played brings nothing."""
    from porchswing.lesson.reviews import met_in_all

    return met_in_all(earlier_tunes(tunes))


def earlier_tunes(tunes: tuple[TuneBefore, ...]) -> tuple[EarlierTune, ...]:
    """Return tunes as lessons review them; a chart that cannot be played is left out."""
    return tuple(filter(None, map(_as_learned, tunes)))


@lru_cache(maxsize=2 * MOST_BEFORE)
def _as_learned(tune: TuneBefore) -> EarlierTune | None:
    from porchswing.chart.language.reader import parse_chart
    from porchswing.chart.language.writer import write_chart
    from porchswing.course.course_lessons import lesson_chart
    from porchswing.lesson.reviews import EarlierTune, content_of

    found = EarlierTune(tune.text, tune.name, tune.choices)
    try:
        if tune.lesson is not None:
            chart = lesson_chart(parse_chart(tune.text, tune.name), tune.choices, tune.lesson)
            found = EarlierTune(write_chart(chart), tune.name, replace(tune.choices, key=None))
        content_of(found)
    except PorchswingError:
        return None  # its own job reports the error
    return found
