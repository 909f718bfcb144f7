"""The tunes before one in a course: what they brought, so that a handout marks it as known."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from porchswing.errors import PorchswingError
from porchswing.options import Choices

if TYPE_CHECKING:
    from porchswing.lesson.learned import Met

MOST_BEFORE = 50
"""Most tunes before one that count as what a student remembers; the nearest ones do."""


@dataclass(frozen=True, slots=True)
class TuneBefore:
    """One chart that a course plays earlier, as text, with the choices for its first key."""

    name: str
    text: str
    choices: Choices

    @property
    def digest(self) -> str:
        """Digest of all that says what the tune brings."""
        return hashlib.sha256(repr((self.name, self.text, self.choices)).encode()).hexdigest()


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
    from porchswing.lesson.learned import NOTHING_MET, tune_content

    try:
        return tune_content(parse_chart(tune.text, tune.name), tune.name, tune.choices).met
    except PorchswingError:
        return NOTHING_MET  # its own job reports the error
