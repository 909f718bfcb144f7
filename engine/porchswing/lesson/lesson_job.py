"""One thing a lesson is made of, where it lies, and the heading it stands under."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from pathlib import Path

from porchswing.file_formats import Tags
from porchswing.lesson.makers import MAKERS
from porchswing.lesson.source import LessonSource
from porchswing.outputs.manifest import digest_of, engine_digest
from porchswing.outputs.names import file_word

STUDENT, TEACHER = "for-the-student", "for-the-teacher"
"""Folders of a lesson: what a student takes home, and everything else."""

PRACTISE, PRINT, COMPARE, DRILLS = "Practise", "Print", "Hear the difference", "Drills"
PLAY_ALONG = "Play along"
GROUPS = {
    PRACTISE: "One page for phone or computer: it plays at any tempo, offline.",
    COMPARE: "The same bars as you know them, then as we play them, equally loud.",
    PRINT: "Both lanes, the grips, the line, the strum and the plan, on paper.",
    PLAY_ALONG: "The band with you listening, and the band without its chord part for you.",
    DRILLS: "Short tracks for the hard spots; the practice plan says which first.",
    "Parts and files": "For teachers and other programs; the stems add up to the mix.",
}
"""The headings of the index page and a sentence for each."""


@dataclass(frozen=True, slots=True)
class LessonJob:
    """One thing to make: its ``kind`` and ``argument`` choose how, ``outputs`` are its files.

    ``group`` is its heading on the index page (:data:`GROUPS`), ``title`` and ``words`` what is
    said of it there; ``patterns`` is the digest of the patterns that shape it, ``number`` its
    place in the lesson.
    """

    source: LessonSource
    kind: str
    argument: str
    outputs: tuple[str, ...]
    group: str
    title: str
    words: str = ""
    patterns: str = ""
    number: int = 0

    @property
    def tags(self) -> Tags:
        """What a player shows of its recordings: the lesson is the album."""
        chart = self.source.chart
        return Tags(f"{chart.title}: {self.title}", chart.by, chart.title, self.number)

    @property
    def digest(self) -> str:
        """The digest of everything that goes in."""
        return digest_of(
            [
                engine_digest(),
                self.patterns,
                self.kind,
                self.argument,
                self.number,
                # which of its things are asked for changes none of them; fractions become text
                {
                    name: repr(value)
                    for name, value in asdict(replace(self.source, groups=(), tracks=())).items()
                },
            ]
        )

    def run(self, parts: Sequence[Path]) -> None:
        """Write every output to its path in ``parts``."""
        MAKERS[self.kind](self.source, self.argument, parts, self.tags)


def drill_name(source: LessonSource, stem: str) -> str:
    """Return the name of a drill's files without their suffix."""
    return f"{TEACHER}/drills/{source.stem}-{file_word(stem)}"
