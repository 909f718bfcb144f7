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
    from porchswing.lesson.learned import NOTHING_MET

    met = NOTHING_MET
    for tune in tunes:
        met = met.with_(_met_in_one(tune))
    return met


@lru_cache(maxsize=2 * MOST_BEFORE)
def _met_in_one(tune: TuneBefore) -> Met:
    from porchswing.chart.language.reader import parse_chart
    from porchswing.course.course_lessons import lesson_chart
    from porchswing.lesson.learned import NOTHING_MET, tune_content

    try:
        chart, choices = parse_chart(tune.text, tune.name), tune.choices
        if tune.lesson is not None:
            chart = lesson_chart(chart, choices, tune.lesson)
            choices = replace(choices, key=None)
        return tune_content(chart, tune.name, choices).met
    except PorchswingError:
        return NOTHING_MET  # its own job reports the error
